//! The wiring sheet.

use coolwright_cases::quantity::Kind;

use super::BLANK;
use crate::answer::{Lay, Section, Table, Value};
use crate::say;
use crate::study::sheets::{LOW_V, RunOn, SURGE, Size, WAYS_M, Wire};

/// Fuses and wires, and what is drawn in rests.
pub fn wiring(wires: &[Wire], run_on: &[RunOn]) -> Vec<Section> {
    vec![machines(wires), rests(run_on)]
}

/// A wire in words.
fn words(size: Size) -> Value {
    say!("{mm2} / {gauge}", mm2 = format!("{}", size.mm2), gauge = size.gauge).into()
}

fn machines(wires: &[Wire]) -> Section {
    let [near, far] = WAYS_M.map(|m| Value::of(Kind::Distance, m));
    let mut table = Table::new()
        .words("machine", "machine")
        .numbers("volts", "supply", Kind::Voltage)
        .numbers("runs", "draws\nat most", Kind::Current)
        .numbers("surge", "surge\nup to", Kind::Current)
        .values("fuse", "fuse")
        .words("wire", "wire at least,\nmm\u{b2} / gauge")
        .values("longest", "good for\none way")
        .words("near", "for the\nnear way")
        .words("far", "for the\nfar way")
        .words("length", "length")
        .mixed();
    for wire in wires {
        let blank = |value: Option<Value>| value.unwrap_or_else(|| BLANK.into());
        let amps = |si: f64| Value::of(Kind::Current, si);
        let high = wire.volts >= LOW_V;
        table.row(
            &wire.machine,
            [
                (&wire.machine).into(),
                Value::of(Kind::Voltage, wire.volts).into(),
                amps(wire.runs_a).into(),
                (!high).then(|| amps(SURGE * wire.runs_a)).into(),
                if high { "licensed practice".into() } else { blank(wire.fuse_a.map(amps)).into() },
                if high { "licensed practice".into() } else { blank(wire.size.map(words)).into() },
                blank(wire.longest_m.map(|m| Value::of(Kind::Distance, m))).into(),
                blank(wire.for_ways[0].map(words)).into(),
                blank(wire.for_ways[1].map(words)).into(),
                BLANK.into(),
            ],
        );
    }
    Section::new("wiring", "WIRES AND FUSES").table(table).say(
        say!("The near way is {near} from supply to machine, the far way {far}.", near = near, far = far),
        Lay::Inset,
    )
    .say(
        "A relay and a fuse of its own for each, made for the direct voltage of its supply (blade fuses for road vehicles are \
         for 32 V: above that they do not break), the fuse next to the battery. Fans at no less than their label and the air \
         of a cold day at sea level. Blanks are above the tables. Wires: 33 CFR 183.425, Table 5, insulation \
         for 105 \u{b0}C, in an engine space; resistance by IEC 60228, class 5, 60 \u{b0}C warm, 3 % drop there and back; \
         fuse values of ISO 8820 (from memory), 1.33 of the running current; surge of a motor with brushes and no soft \
         start: common practice, no source. Bundles carry less. Above 50 V: licensed practice alone.",
        Lay::Paragraph,
    )
}

fn rests(run_on: &[RunOn]) -> Section {
    let mut table = Table::new()
        .words("phase", "rest")
        .numbers("time", "how long", Kind::Time)
        .words("supply", "supply")
        .values("charge", "draws, A h")
        .values("mean", "on average");
    for of in run_on {
        let mean = of.charge_as / of.time_s.max(f64::MIN_POSITIVE);
        table.line([
            (&of.phase).into(),
            Value::clock(of.time_s).into(),
            (&of.supply).into(),
            Value::decimals(of.charge_as / 3600.0, 2).into(),
            Value::of(Kind::Current, mean).into(),
        ]);
    }
    Section::new(
        "run_on",
        "What pumps and fans draw while the vehicle rests: the battery has to give it",
    )
    .table(table)
}
