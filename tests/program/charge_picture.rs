//! The picture of charge air: the numbers of its table, in a page and alone.

use coolwright::answer::{Block, Row, Section};
use coolwright::ask::Case;
use coolwright::page::page;
use coolwright::pictures::{Pen, Pictures, alone};
use coolwright::render::Style;
use coolwright::workers::Alone;
use coolwright_cases::quantity::UnitSystem;

/// Wet air, and water of 5 °C to the second of two coolers: the air is left far below its dew point.
const WET: &str = r#"Case(
    title: "wet air",
    site: Site(air: "30 °C", altitude: "0 m", humidity: "100 %"),
    circuits: { "c": Circuit(coolant: Water, start: "5 °C", bore: "25 mm", runs: {
        "r": Run(from: "in", to: "out", parts: { "p": Pass(cooler: "cc") }),
    }, junctions: { "in": Open(flow: "50 L/min", temperature: "5 °C"), "out": Open(pressure: "0 kPa") }) },
    coolers: { "cc": Cooler(metal: Aluminium("6 kg"), fall: (fall: "20 kPa", at: "50 L/min")) },
    charge_air: { "in": ChargeAir(flow: "0.4 kg/s", stages: {
        "filter": Duct(fall: (fall: "2 kPa", at: "0.4 kg/s")),
        "comp": Compressor(ratio: 2.5, efficiency: "72 %"),
        "cool": ChargeCooler(cooler: "cc", effectiveness: "80 %", at: "0.4 kg/s", coolant: "50 L/min", coolant_in: "40 °C"),
    }) },
)"#;

#[test]
fn charge_air_is_drawn_with_the_numbers_of_its_table() {
    let mut none = |file: &str| Err(file.to_owned());
    let case = Case::read("wet.ron", WET, &mut none);
    let case = case.unwrap_or_else(|refusal| panic!("{}", refusal.text(&Style::SI)));
    let report = case.report(&[], &Alone);
    let report = report.unwrap_or_else(|refusal| panic!("{}", refusal.text(&Style::SI)));
    let named = |section: &&Section| section.name == "charge_air";
    let section = report.point.sections.iter().find(named).expect("a section");
    let table = section.blocks.iter().find_map(|block| match block {
        Block::Table(table) => Some(table),
        Block::Say(..) => None,
    });
    let table = table.expect("a table");
    for units in [UnitSystem::Metric, UnitSystem::Us, UnitSystem::Si] {
        let pictures = Pictures::of(&Pen::of(units), &report);
        let [picture] = &pictures.charge[..] else { panic!("{} pictures", pictures.charge.len()) };
        assert_eq!(picture.name, "charge/in");
        let style = Style { units, color: false };
        let mut shown = 0;
        for row in &table.rows {
            let Row::Cells { cells, .. } = row else { continue };
            // Its name; how warm it leaves, at what pressure, the heat to coolant, the water.
            for k in [0, 3, 4, 5, 7] {
                let text = style.value(&cells[k].value);
                if !["", "-"].contains(&text.as_str()) {
                    assert!(picture.body.0.contains(&text), "{units:?}: no {text}");
                    shown += 1;
                }
            }
        }
        // Three stages of three each, of the cooler heat and water besides.
        assert_eq!(shown, 3 * 3 + 2, "{units:?}");
        for at_start in ["c/r/p", "coolant into", " of water"] {
            assert!(picture.body.0.contains(at_start), "{units:?}: no {at_start}");
        }
        let alone = alone(picture);
        assert!(alone.contains("prefers-color-scheme:dark") && alone.ends_with("</svg>\n"));
    }
    let page = page(&report, UnitSystem::Metric);
    assert!(page.contains("aria-label=\"Picture charge/in\""), "in the page");
}

/// What is not steady has no numbers, and the picture says so.
#[test]
fn charge_air_that_is_not_steady_is_drawn_without_numbers() {
    // Nothing takes the heat out of a loop of its own.
    let text = WET
        .replace(r#"Run(from: "in", to: "out", parts: {"#, r#"Run(parts: { "t": Tank(volume: "3 L", air: "1 L"), "u": Pump(shut_off: "60 kPa", free_flow: "60 L/min"),"#)
        .replace(r#"junctions: { "in": Open(flow: "50 L/min", temperature: "5 °C"), "out": Open(pressure: "0 kPa") }"#, "");
    let mut none = |file: &str| Err(file.to_owned());
    let case = Case::read("wet.ron", &text, &mut none);
    let case = case.unwrap_or_else(|refusal| panic!("{}", refusal.text(&Style::SI)));
    let report = case.report(&[], &Alone);
    let report = report.unwrap_or_else(|refusal| panic!("{}", refusal.text(&Style::SI)));
    let pictures = Pictures::of(&Pen::of(UnitSystem::Metric), &report);
    let body = &pictures.charge[0].body.0;
    assert!(body.contains("not steady"), "{body}");
    assert!(!body.contains("NaN") && !body.contains("inf"), "{body}");
}
