//! Materials of link ends and their typical stiffnesses.
//!
//! The figures are for one eye bushing of a suspension link, about 40 mm long and 45 mm across.
//! They are common practice without a source, to be taken as ranges. The stiffnesses of one
//! material depend on each other: a sleeve of length `l` that is evenly supported along its length
//! has `conical = radial l^2/12`, which with 40 mm and the radial stiffness of rubber gives 2.7 to
//! 6.7 N*m/deg, within the range stated. Polyurethane is about four times as stiff as rubber in
//! every direction. Hard plastic (acetal and similar) slides on its sleeve: it offers little
//! resistance to a turn about the sleeve, but much to a tilt. A spherical end turns freely in all
//! directions. Beyond the tilt limit metal touches metal, about 5e7 N/m at a lever of 20 mm,
//! whatever the material.

use crate::bushing::Bushing;

/// Material of a link end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Material {
    /// Rubber bonded to inner and outer sleeve.
    Rubber,
    /// Polyurethane pressed in.
    Polyurethane,
    /// Acetal or a similar plastic.
    HardPlastic,
    /// A spherical bearing or rod end.
    Spherical,
}

/// A plausible range with its typical value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plausible {
    /// Lower end.
    pub low: f64,
    /// Value used where nothing else is given.
    pub typical: f64,
    /// Upper end.
    pub high: f64,
    /// Source of the range.
    pub source: &'static str,
}

/// Plausible stiffnesses and tilt limit of one material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MaterialRanges {
    /// Radial stiffness `[N/m]`.
    pub radial: Plausible,
    /// Axial stiffness `[N/m]`.
    pub axial: Plausible,
    /// Torsional stiffness `[N*m/rad]`.
    pub torsional: Plausible,
    /// Conical stiffness `[N*m/rad]`.
    pub conical: Plausible,
    /// Tilt at which it runs solid `[rad]`.
    pub tilt_limit: Plausible,
    /// Stiffness beyond the tilt limit `[N*m/rad]`.
    pub solid: Plausible,
}

/// 1 N*m/deg in N*m/rad.
const DEG: f64 = 180.0 / std::f64::consts::PI;
const PRACTICE: &str = "common practice";
const ESTIMATE: &str = "estimate from the shape of a 40 mm sleeve, no source";

const fn range(low: f64, typical: f64, high: f64, unit: f64, source: &'static str) -> Plausible {
    Plausible {
        low: low * unit,
        typical: typical * unit,
        high: high * unit,
        source,
    }
}

impl Material {
    /// All materials.
    pub const ALL: [Material; 4] = [
        Material::Rubber,
        Material::Polyurethane,
        Material::HardPlastic,
        Material::Spherical,
    ];

    /// Name, as car files write it.
    pub const fn name(self) -> &'static str {
        match self {
            Material::Rubber => "rubber",
            Material::Polyurethane => "polyurethane",
            Material::HardPlastic => "hard plastic",
            Material::Spherical => "spherical",
        }
    }

    /// Material of a name, as [`Material::name`] gives it.
    pub fn named(name: &str) -> Option<Material> {
        Material::ALL.into_iter().find(|m| m.name() == name)
    }

    /// Plausible stiffnesses of one end.
    pub const fn ranges(self) -> MaterialRanges {
        let solid = range(10.0, 20.0, 40.0, 1e3, ESTIMATE);
        match self {
            Material::Rubber => MaterialRanges {
                radial: range(2.0, 3.5, 5.0, 1e6, PRACTICE),
                axial: range(0.3, 0.6, 1.2, 1e6, PRACTICE),
                torsional: range(0.6, 1.2, 2.0, DEG, PRACTICE),
                conical: range(3.0, 6.0, 9.0, DEG, PRACTICE),
                tilt_limit: range(9.0, 12.0, 16.0, 1.0 / DEG, PRACTICE),
                solid,
            },
            Material::Polyurethane => MaterialRanges {
                radial: range(8.0, 14.0, 20.0, 1e6, PRACTICE),
                axial: range(1.2, 2.4, 4.8, 1e6, PRACTICE),
                torsional: range(2.4, 4.8, 8.0, DEG, PRACTICE),
                conical: range(12.0, 24.0, 36.0, DEG, PRACTICE),
                tilt_limit: range(5.0, 7.0, 10.0, 1.0 / DEG, PRACTICE),
                solid,
            },
            Material::HardPlastic => MaterialRanges {
                radial: range(30.0, 60.0, 120.0, 1e6, ESTIMATE),
                axial: range(10.0, 20.0, 40.0, 1e6, ESTIMATE),
                torsional: range(0.1, 0.3, 1.0, DEG, ESTIMATE),
                conical: range(60.0, 140.0, 250.0, DEG, ESTIMATE),
                tilt_limit: range(1.5, 2.5, 4.0, 1.0 / DEG, ESTIMATE),
                solid,
            },
            Material::Spherical => MaterialRanges {
                radial: range(100.0, 200.0, 300.0, 1e6, PRACTICE),
                axial: range(30.0, 60.0, 100.0, 1e6, PRACTICE),
                torsional: range(0.0, 0.02, 0.1, DEG, PRACTICE),
                conical: range(0.0, 0.02, 0.1, DEG, PRACTICE),
                tilt_limit: range(10.0, 16.0, 25.0, 1.0 / DEG, PRACTICE),
                solid,
            },
        }
    }

    /// Bushing of typical size.
    ///
    /// ```
    /// use axletree_linkage::Material;
    ///
    /// let [rubber, poly] = [Material::Rubber, Material::Polyurethane].map(Material::bushing);
    /// assert_eq!(poly.radial, 4.0 * rubber.radial);
    /// ```
    pub const fn bushing(self) -> Bushing {
        let r = self.ranges();
        Bushing {
            radial: r.radial.typical,
            axial: r.axial.typical,
            torsional: r.torsional.typical,
            conical: r.conical.typical,
            tilt_limit: r.tilt_limit.typical,
            solid: r.solid.typical,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_are_ranges_and_the_middle_is_a_bushing() {
        for m in Material::ALL {
            let r = m.ranges();
            for p in [
                r.radial,
                r.axial,
                r.torsional,
                r.conical,
                r.tilt_limit,
                r.solid,
            ] {
                assert!(p.low < p.typical && p.typical < p.high, "{}", m.name());
                assert!(!p.source.is_empty());
            }
            m.bushing().check(m.name()).unwrap();
            assert_eq!(Material::named(m.name()), Some(m));
        }
    }
}
