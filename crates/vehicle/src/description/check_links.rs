//! The conditions between the entries of links, springs, dampers and bars given by points.

use super::data::Description;
use super::declare::declarations::DECLARATIONS;
use super::declare::key::{CarEnd, ChoiceKind, EndKey, Key, PointKind};
use super::declare::keys;
use super::declare::words::{FootOn, LateralType, LinksType, RearType};
use super::missing::missing;
use crate::fault::Fault;
use crate::fault_kind::FaultKind;

/// The key of a point that may be absent.
type PointKey = Key<Option<PointKind>>;
/// The key of the part under the moving end of a spring, damper or bar link.
type OnKey = EndKey<ChoiceKind<FootOn>>;

/// Links of the right kind of end, an axle that is held sideways, points that are whole.
pub(super) fn links(car: &Description, end: CarEnd, found: &mut Vec<Fault>) {
    let Some(links) = car.value(keys::LINKS_TYPE.at(end)) else {
        return;
    };
    let solid = links.is_axle();
    if end == CarEnd::Rear
        && let Some(kind) = car.stated(keys::REAR_TYPE)
        && solid != (kind == RearType::Solid)
    {
        let other = if solid { "solid" } else { "independent" };
        let needs = format!("rear.type = \"{other}\"");
        found.push(Fault::new(
            keys::LINKS_TYPE.at(end),
            FaultKind::NotApplicable { needs },
        ));
        return;
    }
    let free = solid && links != LinksType::FourLinks;
    if free && car.value(keys::LATERAL_TYPE) == LateralType::None {
        let kind = FaultKind::NotHeldSideways {
            links: links.word().to_owned(),
        };
        found.push(Fault::new(keys::LATERAL_TYPE, kind));
    }
    let moving =
        |axle: PointKey, foot: EndKey<Option<PointKind>>| if solid { axle } else { foot.at(end) };
    let parts: [(&[PointKey], OnKey); 3] = [
        (
            &[
                keys::SPRING_BODY.at(end),
                moving(keys::SPRING_AXLE, keys::SPRING_FOOT),
            ],
            keys::SPRING_ON,
        ),
        (
            &[
                keys::DAMPER_BODY.at(end),
                moving(keys::DAMPER_AXLE, keys::DAMPER_FOOT),
            ],
            keys::DAMPER_ON,
        ),
        (
            &[
                keys::BAR_PIVOT.at(end),
                keys::BAR_END.at(end),
                keys::BAR_LINK.at(end),
            ],
            keys::BAR_ON,
        ),
    ];
    for (points, on) in parts {
        whole_points(car, points, found);
        if !solid {
            foot(car, links, on.at(end), found);
        }
    }
}

/// Points that belong together are all written, or none.
fn whole_points(car: &Description, points: &[PointKey], found: &mut Vec<Fault>) {
    let all = || points.iter().flat_map(|key| DECLARATIONS.entries(*key));
    if all().any(|i| car.cells[i].is_some()) {
        found.extend(all().filter(|i| car.cells[*i].is_none()).map(missing));
    }
}

/// The moving end of a part is on an arm that the linkage has.
fn foot(car: &Description, links: LinksType, on: Key<ChoiceKind<FootOn>>, found: &mut Vec<Fault>) {
    let needs: &[LinksType] = match car.value(on) {
        FootOn::LowerArm => &[LinksType::Strut, LinksType::DoubleWishbone],
        FootOn::UpperArm => &[LinksType::DoubleWishbone],
        FootOn::Knuckle => return,
    };
    if !needs.contains(&links) {
        let words: Vec<String> = needs.iter().map(|w| format!("\"{}\"", w.word())).collect();
        let end = on.path().split('.').next().unwrap_or_default();
        let needs = format!("{end}.links.type = {}", words.join(" or "));
        found.push(Fault::new(on, FaultKind::NotApplicable { needs }));
    }
}
