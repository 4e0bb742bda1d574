//! What variants change and cost, and the smallest of those that hold.

use serde_json::Value;

use crate::demos::ask;
use crate::levers::{number, of_text, rows, sections};

const GUIDE: &str = include_str!("../../cases/guide/5_variants.ron");
const DUTY: &str = include_str!("../../cases/guide/6_duty_cycle.ron");

fn verdict(answer: &Value) -> String {
    let says = sections(answer, "verdict")[0]["says"].to_string();
    says.replace("\\n", " ").split_whitespace().collect::<Vec<_>>().join(" ")
}

fn of<'a>(answer: &'a Value, variant: &str) -> &'a Value {
    let all = rows(sections(answer, "changes")[0]);
    all.iter().find(|row| row["variant"] == variant).unwrap_or_else(|| panic!("no {variant}"))
}

/// The far hose, 2.6 m of 19 mm and not of 16 mm, takes π/4·(19² − 16²) mm² of its length more; fans draw by their label.
#[test]
fn what_a_variant_changes_and_takes_is_told() {
    let (_, answer) = ask(&["compare", "cases/guide/5_variants.ron", "--point"]);
    let wide = of(&answer, "wide_far");
    assert!(wide["changes"].to_string().contains("charge/far:bore"), "{wide}");
    let sheets = |text: &str| {
        let (_, answer) = of_text(text, &["sheets"], &[]);
        let all = rows(sections(&answer, "order_hoses")[0]).to_vec();
        let of_bore = |row: &Value| {
            let [bore, length] =
                ["bore", "length"].map(|name| number(&row[name]).expect("a number"));
            0.25 * std::f64::consts::PI * bore * bore * length
        };
        all.iter().map(of_bore).sum::<f64>()
    };
    let far = "\"far\": Run(from: \"spreader\", to: \"collector\", bore: \"16 mm\"";
    let more = sheets(&GUIDE.replace(far, &far.replace("16", "19"))) - sheets(GUIDE);
    let told = number(&wide["coolant"]).expect("coolant");
    assert!(more > 1e-4 && (told - more).abs() < 0.05 * more, "{told} m³, hoses {more} m³");
    assert_eq!(number(&wide["draws"]), None, "a hose draws nothing");
    // A second pump of the same kind draws about as much as the first does, a third fan half of two.
    let [one, two] = ["second_pump", "more_fans"].map(|name| number(&of(&answer, name)["draws"]));
    assert!(one.expect("a current") > 1.0 && two.expect("a current") > 1.0);
}

/// Of two that hold the one with fewer changes is the smallest, but for one that is not sure; with prices the cheapest is named.
#[test]
fn the_smallest_change_that_holds_is_named_and_with_prices_the_cheapest() {
    let (_, answer) = ask(&["compare", "cases/guide/5_variants.ron", "--point"]);
    let said = verdict(&answer);
    assert!(said.contains("smallest change that holds for sure is `both`: 2 values"), "{said}");
    let (_, answer) = ask(&["compare", "cases/guide/6_duty_cycle.ron"]);
    let said = verdict(&answer);
    assert!(said.contains("smallest change that holds is `wide_far`: one value"), "{said}");
    let priced = DUTY
        .replace("\"19 mm\")]),", "\"19 mm\")], price: \"310\"),")
        .replace("3)]),\n    },", "3)], price: 290),\n    },");
    assert_eq!(priced.matches("price").count(), 2);
    let (_, answer) = of_text(&priced, &["compare"], &[]);
    let said = verdict(&answer);
    assert!(said.contains("cheapest that holds is `both`, for 290"), "{said}");
}
