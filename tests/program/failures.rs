//! What each failure does, against the same failure written into the file.

use serde_json::Value;

use crate::demos::{ask, variant};
use crate::levers::{number, of_text, rows, sections};

fn text(row: &Value, name: &str) -> String {
    let words = row[name].as_str().or_else(|| row[name]["text"].as_str());
    words.unwrap_or_default().to_owned()
}

/// Every failure of a demo as a variant of it: the case stands as it does there, and the limit that breaks first does so
/// at the same moment, to the last bit, and is the first of those that the sound case keeps.
#[test]
fn every_failure_is_the_variant_that_it_names() {
    let demo = include_str!("../../cases/sled_tractor.ron");
    let (code, failures) = ask(&["failures", "cases/sled_tractor.ron"]);
    assert_eq!(code, 0, "with nothing failed it holds");
    let failed = rows(sections(&failures, "failures")[0]);
    assert!(failed.len() >= 14, "{}", failed.len());
    let (before, _) = demo.split_once("    variants: {").expect("it has variants");
    let variants: Vec<String> = (failed.iter().enumerate())
        .map(|(k, row)| format!("\"failure_{k}\": Variant(change: {})", text(row, "variant")))
        .collect();
    let edited = format!("{before}    variants: {{ {} }},\n)\n", variants.join(",\n"));
    let (_, compared) = of_text(&edited, &["compare"], &[]);
    let limits = |name: &str| {
        let of = variant(&compared, name)["limits"]["tables"][0]["rows"].as_array();
        of.expect("limits").clone()
    };
    let sound = limits("as it stands");
    let mut broken = 0;
    for (k, row) in failed.iter().enumerate() {
        let name = format!("failure_{k}");
        assert_eq!(row["verdict"], variant(&compared, &name)["verdict"], "{row:#}");
        let of = limits(&name);
        let new = of.iter().zip(&sound).filter(|(now, was)| {
            assert_eq!(now["limit"], was["limit"], "the same limits");
            now["standing"] == "broken" && was["standing"] == "kept"
        });
        let first = new
            .map(|(now, _)| (number(&now["first_broken"]).expect("a time"), now))
            .reduce(|first, of| if of.0 < first.0 { of } else { first });
        let Some((first_s, limit)) = first else {
            assert!(number(&row["after"]).is_none(), "{row:#}");
            continue;
        };
        assert_eq!(number(&row["after"]).map(f64::to_bits), Some(first_s.to_bits()), "{row:#}");
        assert_eq!(row["breaks"], limit["limit"], "{row:#}");
        broken += 1;
    }
    assert!(broken >= 6, "{broken}");
}

/// A stopped fan and a stopped pump written into the text of the file itself.
#[test]
fn a_failure_is_the_file_with_it() {
    let demo = include_str!("../../cases/first.ron");
    let (_, failures) = ask(&["failures", "cases/first.ron"]);
    for (address, was) in [
        ("air_paths/front/fan:speed", "Fan(shut_off: \"250 Pa\""),
        ("drive/loop/pump:speed", "Pump(shut_off: \"50 kPa\""),
    ] {
        assert_eq!(demo.matches(was).count(), 1, "{was}");
        let is = was.replace('(', "(speed: \"0 %\", ");
        let (_, cycle) = of_text(&demo.replace(was, &is), &["cycle"], &[]);
        let row = rows(sections(&failures, "failures")[0]).iter();
        let row = row.clone().find(|row| row["address"] == address).expect("a row");
        let limits = rows(sections(&cycle, "limits")[0]);
        let limit = limits.iter().find(|of| of["limit"] == row["breaks"]).expect("the limit");
        let (told, got) = (number(&row["after"]), number(&limit["first_broken"]));
        assert_eq!(told.map(f64::to_bits), got.map(f64::to_bits), "{address}");
    }
}

/// What anyone can say beforehand of the tractor: without its pumps nothing flows through the charge cooler, its gauge of
/// flow shows that at once and by all of its reading, and the crew must stop; with one of three fans less nothing breaks
/// in a pull of 14 s.
#[test]
fn the_tractor_fails_as_it_must() {
    let (_, failures) = ask(&["failures", "cases/sled_tractor.ron"]);
    let of = |section: &str, address: &str| {
        let found =
            rows(sections(&failures, section)[0]).iter().find(|row| row["address"] == address);
        found.unwrap_or_else(|| panic!("no {address} in {section}")).clone()
    };
    let both = "charge/feed/pump:speed";
    assert_eq!(text(&of("failures", both), "do"), "stop now");
    let share = number(&of("effects", both)["share"]).expect("a share");
    assert!(share.abs() < 1e-3, "{share}");
    assert_eq!(text(&of("effects", both), "through"), "coolers/charge_cooler");
    let shows = of("shows", both);
    assert_eq!(text(&shows, "gauge"), "charge_flow");
    let (_, point) =
        ask(&["cycle", "cases/sled_tractor.ron", "--columns", "gauges/charge_flow:reading"]);
    let columns = point["histories"]["columns"].as_array().expect("columns");
    let index = columns.iter().position(|of| of["address"] == "gauges/charge_flow:reading");
    let index = index.expect("the reading");
    let most = point["histories"]["rows"].as_array().expect("rows").iter();
    let most = most.filter_map(|row| row[index].as_f64()).fold(0.0, f64::max);
    let change = number(&shows["change"]).expect("a change");
    assert!((change + most).abs() < 0.01 * most, "{change} {most}");
    let one_fan = of("failures", "air_paths/front/fan/1:speed");
    assert_eq!(text(&one_fan, "do"), "finish, then mend it");
    // The most urgent stands first, and what breaks nothing behind all that does.
    let order: Vec<String> =
        rows(sections(&failures, "failures")[0]).iter().map(|row| text(row, "do")).collect();
    let last_stop = order.iter().rposition(|of| of == "stop now").expect("some stop");
    assert!(order[..last_stop].iter().all(|of| of == "stop now"), "{order:?}");
    let first_mend = order.iter().position(|of| of == "finish, then mend it").expect("some go on");
    assert!(order[first_mend..].iter().all(|of| of == "finish, then mend it"), "{order:?}");
}

/// A thermostat that sticks, in a circuit of its own kind: shut it starves the core, and the engine boils or breaks its
/// limit; open nothing breaks.
#[test]
fn thermostats_stick_both_ways() {
    let guide = include_str!("../../cases/guide/6_duty_cycle.ron");
    let upper = "\"upper\": Hose(length: \"0.8 m\"";
    assert_eq!(guide.matches(upper).count(), 1);
    let stat = "\"stat\": Thermostat(opens: \"82 °C\"), ";
    let edited = guide.replace(upper, &format!("{stat}{upper}"));
    let (_, failures) = of_text(&edited, &["failures"], &[]);
    let failed = rows(sections(&failures, "failures")[0]);
    let stat: Vec<&Value> =
        failed.iter().filter(|row| row["address"] == "engine/loop/stat:opens").collect();
    let [shut, open] = &stat[..] else { panic!("{stat:#?}") };
    assert!(text(shut, "failure").ends_with("sticks shut"), "{shut:#}");
    // It boils before the pull of three minutes ends.
    assert_eq!(text(shut, "do"), "stop now", "{shut:#}");
    assert!(number(&shut["after"]).is_some_and(|after| after > 0.0 && after < 180.0), "{shut:#}");
    assert!(text(open, "failure").ends_with("sticks open"), "{open:#}");
    assert!(number(&open["after"]).is_none(), "{open:#}");
}

/// A failure that comes as the last pull begins is the case followed up to then without it, and with it from there on:
/// the belt of the tractor that comes off in its second pull, told by the phases of an edited file.
#[test]
fn a_failure_on_the_way_is_a_phase_that_sets_it() {
    let (_, told) = ask(&["failures", "cases/sled_tractor.ron"]);
    let rows = rows(sections(&told, "failures")[0]);
    let belt = rows
        .iter()
        .find(|row| row["address"] == "engine/loop/pump:ratio")
        .expect("the belt can come off");
    let after = number(&belt["when_hot"]).expect("a time");
    // The same in the file: two rounds written out, the second with a ratio of next to nothing.
    let text = include_str!("../../cases/sled_tractor.ron");
    let duty = text.find("    duty: Duty(").expect("a duty");
    let end = duty + text[duty..].find("ready:").expect("it says when it is ready");
    let phases = &text[duty..end];
    let from = phases.find("phases: {").expect("phases") + "phases: {".len();
    let to = phases.rfind('}').expect("their end");
    let once = &phases[from..to];
    let again = once
        .replace("\": Phase(", "_2\": Phase(")
        .replace("Phase(time", "Phase(set: [(\"engine/loop/pump:ratio\", \"0\")], time");
    let edited = format!(
        "{}{}{once}{again}{}{}",
        &text[..duty],
        phases[..from].replace("repeat: 2, ", ""),
        &phases[to..],
        &text[end..]
    );
    let (_, cycle) = of_text(&edited, &["cycle"], &[]);
    let limits = self::rows(sections(&cycle, "limits")[0]);
    let broken = belt["breaks_when_hot"].as_str().expect("a limit");
    let limit = limits.iter().find(|row| row["limit"] == broken).expect("the same limit");
    let first = number(&limit["first_broken"]).expect("when it breaks");
    assert!(
        (first - 35.0 * 60.0 - after).abs() < 0.2,
        "{first} s, {after} s after the second pull began"
    );
}

/// Every two failures of a demo that break nothing alone are tried, and what a pair breaks is what the variant with both
/// changes breaks; those that are not told break nothing more.
#[test]
fn a_pair_is_the_variant_with_both() {
    let demo = include_str!("../../cases/sled_tractor.ron");
    let (_, failures) = ask(&["failures", "cases/sled_tractor.ron", "--pairs"]);
    let alone = rows(sections(&failures, "failures")[0]);
    let borne: Vec<&Value> =
        alone.iter().filter(|row| text(row, "do") == "finish, then mend it").collect();
    assert!(borne.len() >= 3, "{}", borne.len());
    let told = rows(sections(&failures, "pairs")[0]);
    let (before, _) = demo.split_once("    variants: {").expect("it has variants");
    let bare = |row: &Value| text(row, "variant").trim_matches(['[', ']']).to_owned();
    let mut variants = Vec::new();
    let mut wanted = Vec::new();
    for (k, one) in borne.iter().enumerate() {
        for other in &borne[..k] {
            if one["address"] == other["address"] {
                continue;
            }
            let name = format!("pair_{}", variants.len());
            variants.push(format!("\"{name}\": Variant(change: [{}, {}])", bare(one), bare(other)));
            let words = [one, other].map(|row| text(row, "failure"));
            let row = told.iter().find(|row| {
                let both = text(row, "failure");
                words.iter().all(|words| both.contains(words.as_str()))
            });
            wanted.push((name, row));
        }
    }
    let edited = format!("{before}    variants: {{ {} }},\n)\n", variants.join(",\n"));
    let (_, compared) = of_text(&edited, &["compare"], &[]);
    let limits = |name: &str| {
        let of = variant(&compared, name)["limits"]["tables"][0]["rows"].as_array();
        of.expect("limits").clone()
    };
    assert!(wanted.iter().filter(|(_, row)| row.is_some()).count() >= told.len());
    for (name, row) in wanted {
        let of = limits(&name);
        let broken = of.iter().filter(|row| row["standing"] == "broken");
        let first = broken
            .map(|row| (number(&row["first_broken"]).expect("a time"), row))
            .reduce(|first, of| if of.0 < first.0 { of } else { first });
        match (first, row) {
            (None, None) => {}
            (Some((first_s, limit)), Some(row)) => {
                assert_eq!(row["breaks"], limit["limit"]);
                assert_eq!(number(&row["after"]).map(f64::to_bits), Some(first_s.to_bits()));
            }
            (first, row) => panic!("{name}: {first:?} and {row:?}"),
        }
    }
}
