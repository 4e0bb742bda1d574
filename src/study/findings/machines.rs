//! Pumps and fans that do nothing, are driven backwards, or run on another voltage than their curve.

use coolwright_cases::quantity::Kind;
use coolwright_models::air::CoreRating;
use coolwright_models::ids::Id;
use coolwright_models::inputs::ROAD_SPEED;
use coolwright_models::parts::PumpDrive;
use coolwright_models::results::quantities as q;
use coolwright_models::slots::{Slot, Values};
use coolwright_models::supply::Sag;

use super::view::{At, STILL_KG_S, View, named};
use super::{Finding, Findings, Severity};
use crate::study::load::values_in;

/// Share of the rated voltage below which a machine counts as slow, and above which it wears (common
/// practice, no source).
const VOLTAGE: [f64; 2] = [0.97, 1.15];
/// Share of the face of one core by which that of the next may differ (common practice, no source).
const FACE: f64 = 0.1;

/// Current that supplies of vehicles hold, A (common practice, no source: large alternators).
const MOST_CURRENT_A: f64 = 300.0;

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, _) in view.circuits() {
        pumps(view, c, found);
    }
    fans(view, found);
    voltages(view, found);
    currents(view, found);
    faces(view, found);
    past_cores(view, found);
    comes_back(view, found);
    pieces(view, found);
    built_faces(view, found);
}

/// Pieces that are less than the whole core.
fn pieces(view: &View<'_>, found: &mut Findings) {
    let model = &view.ready.model;
    let mut wholes: Vec<(&str, f64, Vec<String>)> = Vec::new();
    for (k, core) in model.cores.iter().enumerate() {
        let Some(piece) = &core.piece else { continue };
        let (share, place) = (model.values.get(piece.face), model.address(Id::Core(k)));
        match wholes.iter_mut().find(|(of, ..)| *of == piece.of) {
            Some((_, sum, places)) => {
                *sum += share;
                places.push(place);
            }
            None => wholes.push((&piece.of, share, vec![place])),
        }
    }
    for (of, sum, places) in wholes.into_iter().filter(|(_, sum, _)| *sum < 1.0 - 1e-6) {
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: true,
            subject: "core not all there",
            what: format!(
                "{} of the core `{of}` is in none of its pieces",
                view.say(Kind::Fraction, 1.0 - sum)
            ),
            places,
            why: "neither air nor coolant goes there, and its metal is left out".to_owned(),
            remedy:
                "let the shares add up to 100 %: leave out that of one piece, and it has the rest"
                    .to_owned(),
        });
    }
}

/// Share of the air of a path that may go past its cores before it is told (common practice, no source).
const PAST: f64 = 0.05;

/// Air that comes back through a lane, and goes through the others again.
fn comes_back(view: &View<'_>, found: &mut Findings) {
    let model = &view.ready.model;
    for (a, path) in model.air_paths.iter().enumerate() {
        let flow = |id| view.start.of(id, &q::AIR_MASS_FLOW).unwrap_or(0.0);
        let lanes = || (0..path.ways.len()).map(|w| Id::Lane(a, w));
        let forward: f64 = lanes().map(flow).filter(|flow| *flow > 0.0).sum();
        let back: Vec<Id> = lanes().filter(|&lane| flow(lane) < 0.0).collect();
        let share = -back.iter().map(|&lane| flow(lane)).sum::<f64>() / forward;
        // At rest the share is no number.
        if share.is_nan() || share <= PAST {
            continue;
        }
        let places: Vec<String> = back.into_iter().map(|lane| model.address(lane)).collect();
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: true,
            subject: "air that comes back",
            what: format!(
                "{} of the air that goes through `{}` comes back through {}",
                view.say(Kind::Fraction, share),
                model.address(Id::AirPath(a)),
                named(&places)
            ),
            places,
            why: "it has been through, and warms the air in front of the cores".to_owned(),
            remedy:
                "close the gap, shut the lane of a fan that stands with a flap, or use equal fans"
                    .to_owned(),
        });
    }
}

/// A face that is told may differ from that which follows by this share, as one that is rounded does.
const SAME_FACE: f64 = 0.02;

/// Faces that are told and are not those of the tubes.
fn built_faces(view: &View<'_>, found: &mut Findings) {
    let model = &view.ready.model;
    for (k, core) in model.cores.iter().enumerate() {
        let (CoreRating::Built(built), Some(face)) = (&core.rating, core.face) else { continue };
        let [told, follows] = [model.values.get(face), built.sizes(&model.values).face];
        if (told / follows - 1.0).abs() <= SAME_FACE {
            continue;
        }
        let place = model.address(Id::Core(k));
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: false,
            subject: "face of other tubes",
            what: format!(
                "`{place}` is told a face of {}, and its tubes make one of {}",
                view.say(Kind::Area, told),
                view.say(Kind::Area, follows)
            ),
            places: vec![place],
            why: "the speed in front of it is that of the face that is told, heat and falls are those of the tubes".to_owned(),
            remedy: "leave the face out: it follows from `length` and `across`".to_owned(),
        });
    }
}

/// Air that goes through lanes without a core.
fn past_cores(view: &View<'_>, found: &mut Findings) {
    let model = &view.ready.model;
    for (a, path) in model.air_paths.iter().enumerate() {
        let flow = |id| view.start.of(id, &q::AIR_MASS_FLOW).unwrap_or(0.0).max(0.0);
        let open = path.ways.iter().enumerate().filter(|(_, way)| way.cores.is_empty());
        let lanes: Vec<Id> = open.map(|(w, _)| Id::Lane(a, w)).collect();
        let share = lanes.iter().map(|&lane| flow(lane)).sum::<f64>() / flow(Id::AirPath(a));
        // At rest the share is no number.
        if share.is_nan() || share <= PAST {
            continue;
        }
        let places: Vec<String> = lanes.into_iter().map(|lane| model.address(lane)).collect();
        found.list.push(Finding {
            severity: Severity::Advice,
            beside: false,
            subject: "air past the cores",
            what: format!(
                "{} of the air of `{}` goes past its cores through {}",
                view.say(Kind::Fraction, share),
                model.address(Id::AirPath(a)),
                named(&places)
            ),
            places,
            why: "it takes no heat along, and the fans move it all the same".to_owned(),
            remedy: "close the gap with foam or sheet, as far as that goes".to_owned(),
        });
    }
}

/// The pumps of a circuit.
pub(super) fn pumps(view: &View<'_>, c: usize, found: &mut Findings) {
    let pumps: Vec<At> = view.parts_of(c).filter(|&at| view.is_pump(at)).collect();
    stopped(view, c, &pumps, found);
    for &at in &pumps {
        backwards(view, at, found);
        over_unity(view, at, found);
    }
}

/// Pumps that do not turn: all of a circuit, or one that the others push through.
fn stopped(view: &View<'_>, c: usize, pumps: &[At], found: &mut Findings) {
    let still: Vec<At> = pumps.iter().copied().filter(|&at| !view.running(at)).collect();
    if still.is_empty() {
        return;
    }
    let paths: Vec<String> = still.iter().map(|&at| view.path(at)).collect();
    if still.len() == pumps.len() && view.most_flow(c) < STILL_KG_S {
        let heated = view.parts_of(c).filter(|&at| view.placed(at).part.partner().is_some());
        let heated: Vec<String> = heated.map(|at| view.path(at)).collect();
        let without = if heated.is_empty() {
            String::new()
        } else {
            format!(", and {} get no coolant", named(&heated))
        };
        found.list.push(Finding {
            severity: Severity::Serious,
            beside: false,
            subject: "all pumps stopped",
            what: format!(
                "{} {}: nothing flows in the circuit{without}",
                named(&paths),
                if paths.len() == 1 { "does not turn" } else { "do not turn" }
            ),
            places: paths,
            why: "what should be cooled there is not".to_owned(),
            remedy: "let a pump run, or see `cycle` for when it does".to_owned(),
        });
        return;
    }
    for at in still {
        let flow = view.mass_flow(c, at.1);
        if flow <= STILL_KG_S {
            continue;
        }
        let fall = view.of(at, "fall").unwrap_or(0.0);
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: false,
            subject: "stopped pump in the way",
            places: vec![view.path(at)],
            what: format!(
                "`{}` does not turn, and {} are pushed through it, which takes {}",
                view.path(at),
                view.say(Kind::VolumeFlow, view.flow(c, at.1)),
                view.say(Kind::PressureDifference, fall)
            ),
            why: "a pump at rest is only a resistance".to_owned(),
            remedy: "let it run, or lead the flow around it".to_owned(),
        });
    }
}

/// A pump that turns and is driven backwards.
fn backwards(view: &View<'_>, at: At, found: &mut Findings) {
    let (c, r, _) = at;
    if !view.running(at) || view.mass_flow(c, r) >= -STILL_KG_S {
        return;
    }
    let stronger = view
        .parts_of(c)
        .filter(|&other| other.1 != r && view.running(other) && view.mass_flow(c, other.1) > 0.0);
    let stronger: Vec<String> = stronger.map(|other| view.path(other)).collect();
    let by = if stronger.is_empty() {
        "what drives it from outside".to_owned()
    } else {
        named(&stronger)
    };
    let path = view.path(at);
    found.list.push(Finding {
        severity: Severity::Serious,
        beside: false,
        subject: "pump driven backwards",
        what: format!(
            "{} run backwards through `{path}` though it turns: {by} is stronger",
            view.say(Kind::VolumeFlow, -view.flow(c, r))
        ),
        places: std::iter::once(path).chain(stronger).collect(),
        why: "it takes power to hold back what another pump delivers, and that flow is lost to the circuit"
            .to_owned(),
        remedy: "turn its run round (`from` and `to`), use equal pumps, or give it a check valve"
            .to_owned(),
    });
}

/// A pump that gives more than it takes.
fn over_unity(view: &View<'_>, at: At, found: &mut Findings) {
    let Some(efficiency) = view.of(at, q::PUMP_EFFICIENCY.name).filter(|share| *share > 1.0) else {
        return;
    };
    let path = view.path(at);
    found.list.push(Finding {
        severity: Severity::Serious,
        beside: false,
        subject: "efficiency over 100 %",
        what: format!(
            "`{path}` would give {} of what it takes",
            view.say(Kind::Fraction, efficiency)
        ),
        places: vec![path],
        why: "no machine does: its current and its heat into the coolant are wrong".to_owned(),
        remedy: "look for a slip in its power, its current and voltage, or its flow and head"
            .to_owned(),
    });
}

/// Fans that do not turn, or through which air comes back.
fn fans(view: &View<'_>, found: &mut Findings) {
    for (a, path) in view.ready.model.air_paths.iter().enumerate() {
        let (mut still, mut back) = (Vec::new(), 0.0);
        undriven(view, a, found);
        for k in 0..path.fans.len() {
            let of = |quantity| view.start.of(Id::Fan(a, k), quantity).unwrap_or(0.0);
            let name = view.ready.model.address(Id::Fan(a, k));
            if of(&q::SPEED) <= 0.0 {
                still.push(name);
                back += (-of(&q::FAN_FLOW)).max(0.0);
            } else if of(&q::FAN_FLOW) < -1e-3 {
                found.list.push(Finding {
                    severity: Severity::Serious,
                    beside: false,
                    subject: "fan driven backwards",
                    what: format!(
                        "{} come back through `{name}` though it turns",
                        view.say(Kind::AirFlow, -of(&q::FAN_FLOW))
                    ),
                    places: vec![name],
                    why: "a stronger fan beside it draws the air through it instead of through the cores"
                        .to_owned(),
                    remedy: "use equal fans side by side, or give it a flap".to_owned(),
                });
            }
        }
        if still.is_empty() {
            continue;
        }
        let all = still.len() == path.fans.len();
        if !all && back <= 0.0 {
            found.list.push(in_the_way(still));
            continue;
        }
        let turn = if still.len() == 1 { "does not turn" } else { "do not turn" };
        found.list.push(Finding {
            severity: Severity::Warning,
            // Standing still no air goes through its cores.
            beside: all,
            subject: "stopped fan",
            what: if all {
                format!("{} {turn}: only the road\u{2019}s air cools", named(&still))
            } else if back > 0.0 {
                let back = view.say(Kind::AirFlow, back);
                format!("{} {turn}, and {back} from the others come back through", named(&still))
            } else {
                format!("{} {turn}, beside others that do", named(&still))
            },
            places: still,
            why: if all {
                "standing still no air goes through the cores".to_owned()
            } else {
                "air comes back through a fan that stands, instead of through the cores".to_owned()
            },
            remedy: "let them run, or shut their opening with a flap".to_owned(),
        });
    }
}

/// Fans that stand where the air of others goes through them.
fn in_the_way(still: Vec<String>) -> Finding {
    let turn = if still.len() == 1 { "does not turn" } else { "do not turn" };
    Finding {
        severity: Severity::Warning,
        beside: false,
        subject: "stopped fan",
        what: format!("{} {turn}, and the air of others goes through", named(&still)),
        places: still,
        why: "a fan that stands is in the way of the air".to_owned(),
        remedy: "let it run, or take it out".to_owned(),
    }
}

/// An air path without fans, of a vehicle that never drives.
fn undriven(view: &View<'_>, a: usize, found: &mut Findings) {
    let (ready, path) = (view.ready, &view.ready.model.air_paths[a]);
    let driven = |values: &Values| ready.model.inputs.value(values, ROAD_SPEED) > 0.0;
    let drives = || ready.duty.phases.iter().any(|phase| driven(&values_in(ready, phase)));
    if !path.fans.is_empty() || path.cores.is_empty() || driven(&ready.model.values) || drives() {
        return;
    }
    let name = ready.model.address(Id::AirPath(a));
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: true,
        subject: "no fan",
        what: format!(
            "`{name}` has no fan, and the vehicle never drives: no air to speak of cools its cores"
        ),
        places: vec![name],
        why: "without wind air moves only as it warms, which is left out".to_owned(),
        remedy: "give it `fans`, or phases their `road_speed`".to_owned(),
    });
}

/// Machines on another voltage than that of their curve.
fn voltages(view: &View<'_>, found: &mut Findings) {
    let model = &view.ready.model;
    let mut rated = Vec::new();
    for (c, _) in view.circuits() {
        for at in view.parts_of(c) {
            let drive = view.placed(at).part.as_pump().map(|pump| pump.drive);
            if let Some(PumpDrive::Electric(drive)) = drive {
                rated.extend(drive.rated_voltage.map(|slot| (view.path(at), drive.voltage, slot)));
            }
        }
    }
    for (a, path) in model.air_paths.iter().enumerate() {
        for (k, fan) in path.fans.iter().enumerate() {
            let name = model.address(Id::Fan(a, k));
            rated.extend(fan.rated_voltage.map(|slot| (name, fan.voltage, slot)));
        }
    }
    // What is fed alike is told once.
    let mut alike: Vec<([f64; 2], bool, Vec<String>)> = Vec::new();
    for (path, supply, rated) in rated {
        let guessed = view.is_assumed(rated);
        let volts = [found_v(view, supply), model.values.get(rated)];
        let same = |known: &&mut ([f64; 2], bool, Vec<String>)| {
            known.0.map(f64::to_bits) == volts.map(f64::to_bits) && known.1 == guessed
        };
        match alike.iter_mut().find(same) {
            Some((.., paths)) => paths.push(path),
            None => alike.push((volts, guessed, vec![path])),
        }
    }
    for ([supply, rated], guessed, paths) in alike {
        let share = supply / rated;
        let slow = share < VOLTAGE[0];
        if !slow && share <= VOLTAGE[1] {
            continue;
        }
        let (are, hold, turn) = match paths.len() {
            1 => ("is", "its curve holds", "it turns at {} of its speed at most"),
            _ => ("are", "their curves hold", "they turn at {} of their speed at most"),
        };
        let volts = format!(
            "{} {are} fed with {}, and {hold} at {}",
            named(&paths),
            view.say(Kind::Voltage, supply),
            view.say(Kind::Voltage, rated)
        );
        found.list.push(Finding {
            severity: Severity::Warning,
            // Then nobody knows how fast it turns.
            beside: guessed,
            subject: "another voltage than that of the curve",
            what: if slow {
                format!("{volts}: {}", turn.replace("{}", &view.say(Kind::Fraction, share)))
            } else {
                volts
            },
            places: paths,
            why: if slow {
                "its flow goes with the speed, its head with the square of it".to_owned()
            } else {
                "without a controller it would turn faster than it is made for".to_owned()
            },
            remedy: "give the voltage at which it was measured, a supply that has it, or `regulated: true` where \
                     a controller holds its speed"
                .to_owned(),
        });
    }
}

/// The voltage that machines find at a slot, V: under load where their supply sags.
fn found_v(view: &View<'_>, slot: Slot) -> f64 {
    let supplies = &view.ready.model.supplies;
    let supply = supplies.iter().position(|supply| supply.voltage == slot);
    let under_load = supply.and_then(|s| view.start.of(Id::Supply(s), &q::TERMINAL));
    under_load.unwrap_or_else(|| view.ready.model.values.get(slot))
}

/// Supplies that must give more than a vehicle has, and those that what holds its power pulls down.
fn currents(view: &View<'_>, found: &mut Findings) {
    for (k, supply) in view.ready.model.supplies.iter().enumerate() {
        if let Some(sag) = supply.sag {
            collapses(view, (k, sag), found);
            continue;
        }
        let current = view.start.of(Id::Supply(k), &q::SUPPLY).unwrap_or(0.0);
        if current <= MOST_CURRENT_A {
            continue;
        }
        let path = view.ready.model.address(Id::Supply(k));
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: true,
            subject: "more current than a supply gives",
            what: format!("pumps and fans take {} from `{path}`", view.say(Kind::Current, current)),
            places: vec![path],
            why: format!(
                "an alternator gives some {} at most, and a battery its starting current for seconds only (common \
                 practice, no source): its voltage would fall, and with it their speeds",
                view.say(Kind::Current, MOST_CURRENT_A)
            ),
            remedy: "look at the curves of fans and pumps and at their `power`; or feed them from a supply of a higher \
                     voltage"
                .to_owned(),
        });
    }
}

/// A supply that sags below half of what it has with nothing drawn.
fn collapses(view: &View<'_>, (k, sag): (usize, Sag), found: &mut Findings) {
    let values = &view.ready.model.values;
    let volts = view.start.of(Id::Supply(k), &q::TERMINAL).unwrap_or(f64::INFINITY);
    if !sag.collapses(values, volts) {
        return;
    }
    let path = view.ready.model.address(Id::Supply(k));
    let current = view.start.of(Id::Supply(k), &q::SUPPLY).unwrap_or(0.0);
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: true,
        subject: "a supply that collapses",
        what: format!(
            "`{path}` sags from {} to {} under {}",
            view.say(Kind::Voltage, values.get(sag.open)),
            view.say(Kind::Voltage, volts),
            view.say(Kind::Current, current)
        ),
        places: vec![path],
        why: "below half of its voltage more goes into its resistance than into what it feeds, and a controller that holds \
              its speed pulls it down further still; most give up long before"
            .to_owned(),
        remedy: "thicker and shorter leads, a stronger battery, fewer machines at once".to_owned(),
    });
}

/// Cores one behind the other whose faces differ.
fn faces(view: &View<'_>, found: &mut Findings) {
    let model = &view.ready.model;
    let face = |core: usize| model.cores[core].face.map(|slot| model.values.get(slot));
    for path in &model.air_paths {
        let rows = path.ways.iter().flat_map(|way| way.cores.windows(2));
        for pair in rows.map(|pair| [path.cores[pair[0]], path.cores[pair[1]]]) {
            let [Some(front), Some(behind)] = [face(pair[0]), face(pair[1])] else { continue };
            if (front / behind - 1.0).abs() <= FACE {
                continue;
            }
            let names: Vec<String> =
                pair.iter().map(|&core| model.address(Id::Core(core))).collect();
            found.list.push(Finding {
                severity: Severity::Warning,
                beside: false,
                subject: "cores of different faces",
                what: format!(
                    "`{}` has a face of {} in front of `{}` with {}",
                    names[0],
                    view.say(Kind::Area, front),
                    names[1],
                    view.say(Kind::Area, behind)
                ),
                places: names,
                why: "all air is counted through both, evenly: what goes past the smaller one is not"
                    .to_owned(),
                remedy: "give cores that stand side by side air paths of their own, or count on less air"
                    .to_owned(),
            });
        }
    }
}
