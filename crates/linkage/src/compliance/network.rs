//! Rigid bodies connected by bushings: the stiffness matrix of one end.

use axletree_scalar::Vec3;
use nalgebra::{DMatrix, DVector};

use crate::bushing::Bushing;
use crate::error::{FreeMotion, LinkageError, PartNames};
use crate::mechanism::{Constraint, axis_direction};
use crate::parts::{BodyId, Joint, Subframe, Triple};
use crate::solve::Solver;

/// Displacement per newton beyond which a body counts as unsupported `[m/N]`.
const MAX_COMPLIANCE: f64 = 1.0;

/// Bodies of one end and their stiffness matrix.
pub(crate) struct Network<'a> {
    sides: Vec<&'a Solver>,
    /// Index of the first body of each side: its carrier, followed by its members.
    pub first: Vec<usize>,
    /// Index of the subframe.
    pub subframe: Option<usize>,
    /// Reference point of each body.
    pub about: Vec<Vec3<f64>>,
    k: DMatrix<f64>,
}

impl<'a> Network<'a> {
    /// The network of one or two sides, on a subframe if there is one.
    pub fn new(sides: &[&'a Solver], subframe: Option<&Subframe>) -> Result<Self, LinkageError> {
        let (mut about, mut first) = (Vec::new(), Vec::new());
        for side in sides {
            first.push(about.len());
            about.push(side.mechanism.center);
            about.extend(side.mechanism.hinges.iter().map(|h| h.at));
        }
        if subframe.is_some() {
            about.push(sides[0].mechanism.center);
        }
        let n = 6 * about.len();
        let mut net = Network {
            sides: sides.to_vec(),
            first,
            subframe: subframe.map(|_| about.len() - 1),
            about,
            k: DMatrix::zeros(n, n),
        };
        for side in 0..net.sides.len() {
            net.add_side(side)?;
        }
        if let (Some(s), Some(body)) = (subframe, net.subframe) {
            for m in &s.mounts {
                m.bushing.check(&m.name)?;
                net.bushing(&m.name, None, Some(body), m.at, &m.bushing, m.sleeve)?;
            }
        }
        Ok(net)
    }

    /// Index of a body of one side; none for the car's body.
    fn body(&self, side: usize, body: BodyId) -> Option<usize> {
        match body {
            BodyId::Body | BodyId::Rack => None,
            BodyId::Subframe => self.subframe,
            BodyId::Carrier => Some(self.first[side]),
            BodyId::Member(k) => Some(self.first[side] + 1 + k),
        }
    }

    /// Adds rods, hinges and joints of one side.
    fn add_side(&mut self, side: usize) -> Result<(), LinkageError> {
        let solver = self.sides[side];
        let m = &solver.mechanism;
        // A rod is one spring.
        for (c, stiffness) in m.constraints.iter().zip(&m.stiffness) {
            if let Constraint::Rod { a, b, .. } = c {
                let u = (b.1 - a.1).unit();
                let mut row = self.row();
                self.add_force(&mut row, self.body(side, b.0), b.1, u, 1.0);
                self.add_force(&mut row, self.body(side, a.0), a.1, u, -1.0);
                self.spring(&row, *stiffness);
            }
        }
        for (k, member) in m.parts.members.iter().enumerate() {
            let along: Triple = std::array::from_fn(|i| member.hinge[1][i] - member.hinge[0][i]);
            for (at, b) in member.hinge.iter().zip(&member.bushings) {
                let (on, own) = (self.body(side, member.on), Some(self.first[side] + 1 + k));
                self.bushing(&member.name, on, own, *at, b, along)?;
            }
        }
        for joint in &m.parts.joints {
            let (a, b) = (self.body(side, joint.guide), self.body(side, joint.guided));
            if joint.all_round {
                self.bushing(&joint.name, a, b, joint.at, &joint.bushing, joint.sleeve)?;
            } else {
                self.slide(a, b, joint)?;
            }
        }
        Ok(())
    }

    /// A row of zeros.
    pub fn row(&self) -> DVector<f64> {
        DVector::zeros(self.k.nrows())
    }

    /// Adds to a row `s` times the force `f` at the point `p` of a body.
    pub fn add_force(
        &self,
        row: &mut DVector<f64>,
        body: Option<usize>,
        p: Vec3<f64>,
        f: Vec3<f64>,
        s: f64,
    ) {
        if let Some(b) = body {
            let m = (p - self.about[b]).cross(f);
            for i in 0..3 {
                row[6 * b + i] += s * f.0[i];
                row[6 * b + 3 + i] += s * m.0[i];
            }
        }
    }

    /// Adds to a row `s` times the moment `m` on a body.
    pub fn add_moment(row: &mut DVector<f64>, body: Option<usize>, m: Vec3<f64>, s: f64) {
        if let Some(b) = body {
            for i in 0..3 {
                row[6 * b + 3 + i] += s * m.0[i];
            }
        }
    }

    /// Adds `stiffness row row^T`, most of whose entries are zero.
    fn spring(&mut self, row: &DVector<f64>, stiffness: f64) {
        let filled: Vec<usize> = (0..row.len()).filter(|&i| row[i] != 0.0).collect();
        for &i in &filled {
            for &j in &filled {
                self.k[(i, j)] += stiffness * row[i] * row[j];
            }
        }
    }

    /// Adds the stiffness of a bushing against turns about its sleeve and across it.
    fn angular(&mut self, a: Option<usize>, b: Option<usize>, s: Vec3<f64>, bushing: &Bushing) {
        let k = bushing.angular_stiffness(s);
        self.tensor(&k, |_, row, axis| {
            Self::add_moment(row, b, axis, 1.0);
            Self::add_moment(row, a, axis, -1.0);
        });
    }

    /// Adds a 3 x 3 stiffness whose rows `fill` makes for each axis.
    fn tensor(
        &mut self,
        k: &axletree_scalar::Mat3<f64>,
        fill: impl Fn(&Self, &mut DVector<f64>, Vec3<f64>),
    ) {
        let rows: Vec<DVector<f64>> = (0..3)
            .map(|i| {
                let mut axis = Vec3::zero();
                axis.0[i] = 1.0;
                let mut row = self.row();
                fill(self, &mut row, axis);
                row
            })
            .collect();
        let filled: Vec<usize> = (0..self.k.nrows())
            .filter(|&i| rows.iter().any(|r| r[i] != 0.0))
            .collect();
        for &i in &filled {
            for &j in &filled {
                let mut sum = 0.0;
                for (a, ra) in rows.iter().enumerate() {
                    for (b, rb) in rows.iter().enumerate() {
                        sum += ra[i] * k.0[b].0[a] * rb[j];
                    }
                }
                self.k[(i, j)] += sum;
            }
        }
    }

    /// Adds a bushing with stiffness in all directions, against displacement and turn.
    fn bushing(
        &mut self,
        name: &str,
        a: Option<usize>,
        b: Option<usize>,
        at: Triple,
        bushing: &Bushing,
        sleeve: Triple,
    ) -> Result<(), LinkageError> {
        let s = axis_direction(name, sleeve, "the sleeve has no length")?;
        let p = Vec3(at);
        let k = bushing.stiffness(s);
        self.tensor(&k, |net, row, axis| {
            net.add_force(row, b, p, axis, 1.0);
            net.add_force(row, a, p, axis, -1.0);
        });
        self.angular(a, b, s, bushing);
        Ok(())
    }

    /// Adds a slide: in its blocked directions it is as compliant as a bushing that is free in the
    /// others.
    fn slide(
        &mut self,
        a: Option<usize>,
        b: Option<usize>,
        joint: &Joint,
    ) -> Result<(), LinkageError> {
        let s = axis_direction(&joint.name, joint.sleeve, "the sleeve has no length")?;
        let p = Vec3(joint.at);
        let d: Vec<Vec3<f64>> = joint.blocked.iter().map(|d| Vec3(*d)).collect();
        let (r, l) = (1.0 / joint.bushing.radial, 1.0 / joint.bushing.axial);
        // D K^-1 D^T, inverted.
        let compliance = DMatrix::from_fn(d.len(), d.len(), |i, j| {
            r * d[i].dot(d[j]) + (l - r) * d[i].dot(s) * d[j].dot(s)
        });
        let Some(stiff) = compliance.try_inverse() else {
            return Err(LinkageError::Direction {
                name: joint.name.clone(),
                reason: "the blocked directions are not independent",
            });
        };
        let rows: Vec<DVector<f64>> = d
            .iter()
            .map(|d| {
                let mut row = self.row();
                self.add_force(&mut row, b, p, *d, 1.0);
                self.add_force(&mut row, a, p, *d, -1.0);
                row
            })
            .collect();
        for i in 0..rows.len() {
            for j in 0..rows.len() {
                self.k += &rows[i] * rows[j].transpose() * stiff[(i, j)];
            }
        }
        self.angular(a, b, s, &joint.bushing);
        Ok(())
    }

    /// Displacements of all bodies for every load (one a column) at constant travel.
    pub fn solve(&self, loads: &DMatrix<f64>) -> Result<DMatrix<f64>, LinkageError> {
        let n = self.k.nrows();
        let scale = self.k.amax();
        let mut held = Vec::new();
        for (side, first) in self.first.iter().enumerate() {
            held.push(6 * first + 2);
            if self.sides[side].mechanism.carried.drivers() == 2 {
                held.push(6 * first + 3);
            }
        }
        // Coordinates held do not move: drop their rows and columns.
        let free: Vec<usize> = (0..n).filter(|i| !held.contains(i)).collect();
        let k = DMatrix::from_fn(free.len(), free.len(), |i, j| {
            self.k[(free[i], free[j])] / scale
        });
        let f = DMatrix::from_fn(free.len(), loads.ncols(), |i, j| {
            loads[(free[i], j)] / scale
        });
        let fault = |x: Option<&DMatrix<f64>>| self.no_stiffness(&free, x);
        let factor = k.clone().cholesky().ok_or_else(|| fault(None))?;
        let x = factor.solve(&f);
        if x.iter().any(|v| v.is_nan() || v.abs() > MAX_COMPLIANCE) {
            return Err(fault(Some(&x)));
        }
        let mut all = DMatrix::zeros(n, loads.ncols());
        for (i, row) in free.iter().enumerate() {
            for j in 0..loads.ncols() {
                all[(*row, j)] = x[(i, j)];
            }
        }
        Ok(all)
    }

    /// Error for bodies that move without stiffness, from the displacements where there are any.
    fn no_stiffness(&self, free: &[usize], x: Option<&DMatrix<f64>>) -> LinkageError {
        let mut names = PartNames::default();
        for side in &self.sides {
            for name in side.mechanism.all_names().0 {
                if !names.0.contains(&name) {
                    names.0.push(name);
                }
            }
        }
        let mut moved = [0.0; 6];
        if let Some(x) = x {
            for (i, row) in free.iter().enumerate() {
                if *row < 6 {
                    moved[*row] = x[(i, 0)];
                }
            }
        }
        let most = moved.iter().fold(f64::MIN_POSITIVE, |m, v| m.max(v.abs()));
        LinkageError::NoStiffness {
            links: names,
            motion: FreeMotion {
                shift: std::array::from_fn(|i| moved[i] / most),
                turn: std::array::from_fn(|i| moved[3 + i] / most),
            },
        }
    }
}
