//! Exact linearization about an equilibrium.

use nalgebra::{Complex, DMatrix};

use crate::model::layout::{CLUTCH, ENGINE, HOUSING, THROTTLE, WINDUP, state_names};
use crate::model::{Inputs, Linearizer, MODEL_INPUTS, Model, Numbers, OBSERVED, Rear, STATES};
use crate::trim::Trim;

/// Names and units of the outputs, in the order of the rows of C and D.
pub const OUTPUTS: [(&str, &str); 9] = [
    ("forward_velocity", "m/s"),
    ("lateral_velocity", "m/s"),
    ("sideslip", "rad"),
    ("yaw_rate", "rad/s"),
    ("longitudinal_acceleration", "m/s^2"),
    ("lateral_acceleration", "m/s^2"),
    ("roll", "rad"),
    ("pitch", "rad"),
    ("steering_wheel_torque", "N*m"),
];

/// The outputs among the quantities of a Jacobian: all observed ones but the speed.
const OUTPUT_QUANTITIES: [usize; 9] = {
    let mut places = [OBSERVED; 9];
    let mut i = 0;
    while i < 9 {
        places[i] = if i < 2 {
            OBSERVED + i
        } else {
            OBSERVED + i + 1
        };
        i += 1;
    }
    places
};

/// `x' = A x + B u`, `y = C x + D u` for small departures x, u, y from an equilibrium.
#[derive(Clone, Debug)]
pub struct Linearization {
    /// The equilibrium.
    pub trim: Trim,
    /// States by states.
    pub a: DMatrix<f64>,
    /// States by inputs.
    pub b: DMatrix<f64>,
    /// Outputs by states.
    pub c: DMatrix<f64>,
    /// Outputs by inputs.
    pub d: DMatrix<f64>,
    /// Name and unit of every state.
    pub state_names: Vec<(String, &'static str)>,
    /// States without effect: those of an engine at rest, of a housing on rigid links.
    pub resting: Vec<usize>,
}

/// The same car with dampers of one slope at zero speed.
///
/// A damper that is stiffer in rebound than in bump has no derivative at zero speed. The linear car
/// has the mean of its two slopes: exact for roll, where one side is in bump as the other is in
/// rebound, and the mean over a cycle for heave and pitch.
fn with_mean_damping(numbers: &Numbers<f64>) -> Numbers<f64> {
    let mut numbers = *numbers;
    let [a, b] = &mut numbers.front.side;
    let rear = match &mut numbers.rear {
        Rear::Independent(corners) => {
            let [c, d] = &mut corners.side;
            [&mut c.strut, &mut d.strut]
        }
        Rear::Solid(axle) => {
            let [c, d] = &mut axle.side;
            [&mut c.strut, &mut d.strut]
        }
    };
    for strut in [&mut a.strut, &mut b.strut].into_iter().chain(rear) {
        let low = &mut strut.damper.low;
        *low = [0.5 * (low[0] + low[1]); 2];
    }
    numbers
}

/// Linearizes with derivatives exact to rounding. The friction of the surface is constant; dampers
/// have the mean of their slopes in bump and rebound.
///
/// ```
/// use axletree_vehicle::{bundled, linearize, trim::{Condition, solve}};
///
/// let model = bundled("bramble-solid").unwrap()?.assemble()?;
/// let linear = linearize(&model, &solve(&model, Condition::straight(25.0))?);
/// let heave = linear.modes()?.into_iter().find(|mode| mode.name == "body heave").unwrap();
/// assert!((1.0..3.0).contains(&heave.frequency));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn linearize(model: &Model, trim: &Trim) -> Linearization {
    let linearizer = Linearizer::of(&with_mean_damping(&model.numbers));
    // States and inputs, in the order of the columns.
    let variables: [usize; STATES + MODEL_INPUTS.len()] = std::array::from_fn(|i| i);
    let jacobian = linearizer.jacobian(&trim.state, &trim.inputs, &variables);
    let quantities: Vec<usize> = (0..STATES).chain(OUTPUT_QUANTITIES).collect();
    let all = DMatrix::from_fn(quantities.len(), variables.len(), |row, column| {
        jacobian.at(quantities[row], column)
    });
    let part = |r: usize, c: usize, nr: usize, nc: usize| all.view((r, c), (nr, nc)).into_owned();
    Linearization {
        trim: trim.clone(),
        a: part(0, 0, STATES, STATES),
        b: part(0, STATES, STATES, MODEL_INPUTS.len()),
        c: part(STATES, 0, OUTPUTS.len(), STATES),
        d: part(STATES, STATES, OUTPUTS.len(), MODEL_INPUTS.len()),
        state_names: state_names(model.solid_rear()),
        resting: resting(model, &trim.inputs),
    }
}

fn resting(model: &Model, inputs: &Inputs<f64>) -> Vec<usize> {
    let mut states = Vec::new();
    if inputs.engine_on == 0.0 {
        states.extend([ENGINE, CLUTCH, THROTTLE]);
    }
    if model.numbers.chassis.driveline.windup.flexible == 0.0 {
        states.extend([WINDUP, HOUSING]);
    }
    states
}

impl Linearization {
    /// Response of every output to the steering-wheel angle at a frequency `[Hz]`: output per
    /// radian, with the rate of the steering wheel that belongs to the angle.
    pub fn steering_response(&self, frequency: f64) -> Vec<Complex<f64>> {
        let s = Complex::new(0.0, 2.0 * std::f64::consts::PI * frequency);
        let complex = |m: &DMatrix<f64>| m.map(|x| Complex::new(x, 0.0));
        // The rate is s times the angle: the input column is B_angle + s B_rate.
        let join = |m: &DMatrix<f64>| {
            let m = complex(m);
            m.column(0) + m.column(1) * s
        };
        let mut system = complex(&-self.a.clone());
        for i in 0..STATES {
            system[(i, i)] += s;
        }
        let Some(x) = system.lu().solve(&join(&self.b)) else {
            return vec![Complex::new(f64::INFINITY, 0.0); OUTPUTS.len()];
        };
        let y = complex(&self.c) * x + join(&self.d);
        y.iter().copied().collect()
    }
}
