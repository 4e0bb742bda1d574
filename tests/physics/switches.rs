//! Switches by what a part or a gauge tells, and machines that run on after they were stopped.

use coolwright_cases::lower::Ready;
use coolwright_models::cycle::{History, duty_cycle};
use coolwright_models::solve::SolveError;

use crate::common::{column, cycle, near, phases, read};

/// A loop with a heater of 20 kW, a core, a fan and two pumps, one behind the other.
fn case(fan: &str, second: &str, duty: &str) -> String {
    format!(
        "Case(site: Site(air: \"20 °C\"), circuits: {{ \"c\": Circuit(coolant: Water, start: \"40 °C\", bore: \
         \"25 mm\", runs: {{ \"loop\": Run(parts: {{ \"tank\": Tank(volume: \"3 L\"), \"first\": Pump(shut_off: \"80 \
         kPa\", free_flow: \"90 L/min\"), \"second\": Pump(shut_off: \"80 kPa\", free_flow: \"90 L/min\"{second}), \
         \"hose\": Hose(length: \"3 m\"), \"block\": Pass(cooler: \"block\"), \"core\": CoreSide(core: \"core\") }}) \
         }}) }}, coolers: {{ \"block\": Cooler(heat: \"20 kW\", metal: Capacity(\"10 kJ/K\"), fall: (fall: \"10 kPa\", \
         at: \"60 L/min\")) }}, cores: {{ \"core\": Core(rated: (heat: \"30 kW\", coolant: \"60 L/min\", air: \"1.5 \
         kg/s\", difference: \"50 K\"), air_fall: (fall: \"100 Pa\", at: \"1.5 kg/s\")) }}, air_paths: {{ \"front\": \
         AirPath(cores: [\"core\"], fans: {{ \"fan\": Fan(shut_off: \"300 Pa\", free_flow: \"2.4 m3/s\"{fan}) }}) }}, \
         gauges: {{ \"hot\": Gauge(reads: Temperature, at: \"c/loop/block\", end: Outlet, lag: \"6 s\"), \"bare\": \
         Gauge(reads: Temperature, at: \"c/loop/block\", end: Outlet), \"off\": Gauge(reads: Temperature, at: \
         \"c/loop/block\", end: Outlet, offset: \"3 K\"), \"flow\": Gauge(reads: Flow, at: \"c/loop/hose\"), \
         \"press\": Gauge(reads: Pressure, at: \"c/loop/hose\") }}, duty: Duty(power: \"10 kW\", road_speed: \"0 km/h\", \
         phases: {{ {duty} }}))"
    )
}

fn followed(ready: &Ready) -> History {
    cycle(&ready.model, &ready.model.values, &phases(ready))
}

/// What a column is where something switched: before and after.
fn around(history: &History, address: &str, at_s: f64) -> [f64; 2] {
    let column = column(history, address);
    let rows =
        history.times_s.iter().enumerate().filter(|(_, time)| time.to_bits() == at_s.to_bits());
    let rows: Vec<usize> = rows.map(|(row, _)| row).collect();
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
        panic!("no row at {at_s} s")
    };
    [column[*first], column[*last]]
}

const HEATING: &str = "\"pull\": Phase(time: \"120 s\")";

/// A switch goes on where what it feels is what it says, to the closeness to which crossings are located: at the
/// outlet of a part, at a bare gauge there, at one that shows 3 K too much, and at one that lags.
#[test]
fn a_switch_feels_what_a_part_or_a_gauge_tells() {
    let mut times = Vec::new();
    for (feels, shown) in [
        ("c/loop/block", "c/loop/block:out"),
        ("gauges/bare", "gauges/bare:reading"),
        ("gauges/off", "gauges/off:reading"),
        ("gauges/hot", "gauges/hot:reading"),
    ] {
        let fan = format!(", switch: Switch(feels: \"{feels}\", on: \"60 °C\", off: \"55 °C\")");
        let history = followed(&read(&case(&fan, "", HEATING)));
        let first = history.switched.first().expect("it goes on");
        assert!(first.on);
        near(feels, around(&history, shown, first.at_s)[0], 333.15, 1e-6);
        let [before, after] = around(&history, "air_paths/front/fan:speed", first.at_s);
        near("off before", before, 0.0, 0.0);
        near("on after", after, 1.0, 0.0);
        times.push(first.at_s);
    }
    near("part or bare gauge", times[1], times[0], 1e-9);
    assert!(times[2] < times[0] - 1.0 && times[3] > times[0] + 3.0, "{times:?}");
}

/// A second pump comes in as the flow falls, or the pressure behind it, and goes out again as that has risen enough;
/// the gauge shows then what the switch says.
#[test]
fn a_pump_is_switched_by_a_flow_and_by_a_pressure() {
    let duty = "\"full\": Phase(time: \"10 s\"), \"weak\": Phase(time: \"30 s\", set: [(\"c/loop/first:speed\", \"40 \
                %\")]), \"again\": Phase(time: \"10 s\")";
    for (gauge, [on, off]) in [("flow", ["35 L/min", "65 L/min"]), ("press", ["15 kPa", "30 kPa"])]
    {
        let second =
            format!(", switch: Switch(feels: \"gauges/{gauge}\", on: \"{on}\", off: \"{off}\")");
        let ready = read(&case("", &second, duty));
        let history = followed(&ready);
        let goes: Vec<(bool, f64)> =
            history.switched.iter().map(|switched| (switched.on, switched.at_s)).collect();
        let speeds = column(&history, "c/loop/second:speed");
        near("off at first: the first pump does it alone", speeds[0], 0.0, 0.0);
        assert_eq!(goes, [(true, 10.0), (false, 40.0)], "{gauge}: it goes as the first pump does");
        let shown = format!("gauges/{gauge}:reading");
        assert!(around(&history, &shown, 10.0)[1] > around(&history, &shown, 40.0)[0] * 0.5);
    }
}

/// A switch whose own machine moves what it feels past where it goes off never rests: that is told, not gone round for
/// ever.
#[test]
fn a_switch_that_undoes_itself_is_told() {
    let second = ", switch: Switch(feels: \"gauges/flow\", on: \"35 L/min\", off: \"40 L/min\")";
    let duty = "\"full\": Phase(time: \"10 s\"), \"weak\": Phase(time: \"30 s\", set: [(\"c/loop/first:speed\", \"40 \
                %\")])";
    let ready = read(&case("", second, duty));
    let model = &ready.model;
    let followed = duty_cycle(model, &model.values, &phases(&ready), &mut |_| true);
    let Err(SolveError::Chatters { at_s, .. }) = followed else { panic!("it chatters") };
    near("when", at_s, 10.0, 1e-6);
}

/// Two fans whose switches change at one moment: both are told of, time never goes back, and each row shows what was on
/// then.
#[test]
fn what_switches_together_is_told_together() {
    let fan = ", count: 2, switch: Switch(feels: \"c/loop/block\", on: \"60 °C\", off: \"22 °C\")";
    let text = case(fan, "", HEATING).replace(
        "fans: { ",
        "fans: { \"beside\": Fan(shut_off: \"300 Pa\", free_flow: \"2.4 m3/s\", switch: Switch(feels: \
         \"c/loop/block\", on: \"60 °C\", off: \"22 °C\")), ",
    );
    let history = followed(&read(&text));
    let [first, second] = [&history.switched[0], &history.switched[1]];
    assert_eq!((first.on, second.on), (true, true));
    near("together", second.at_s, first.at_s, 0.0);
    assert!(history.times_s.is_sorted(), "time goes back");
    for address in ["air_paths/front/fan/1:speed", "air_paths/front/beside:speed"] {
        for (time, speed) in history.times_s.iter().zip(column(&history, address)) {
            let at_once = (time - first.at_s).abs() < 1e-12;
            assert!(at_once || (speed > 0.0) == (*time > first.at_s), "at {time} s");
        }
    }
}

/// Stopped by a phase or by its switch, a fan runs on as fast as before for its time, and is still after; the cycle
/// tells since when and until when. One that is called again in the meantime goes on as if nothing had been.
#[test]
fn a_machine_runs_on_for_its_time() {
    let duty = "\"pull\": Phase(time: \"30 s\"), \"park\": Phase(time: \"60 s\", fans: \"0 %\", pumps: \"0 %\"), \
                \"again\": Phase(time: \"20 s\"), \"short\": Phase(time: \"10 s\", fans: \"0 %\", pumps: \"0 %\"), \
                \"last\": Phase(time: \"5 s\"), \"end\": Phase(time: \"5 s\", fans: \"0 %\", pumps: \"0 %\")";
    let ready = read(&case(", speed: \"80 %\", run_on: \"25 s\"", ", run_on: \"40 s\"", duty));
    let history = followed(&ready);
    let told: Vec<(&str, f64, Option<f64>)> = history
        .ran_on
        .iter()
        .map(|late| (ready.model.machines[late.machine].name.as_str(), late.from_s, late.to_s))
        .collect();
    let [fan, pump] = ["air_paths/front/fan", "c/loop/second"];
    assert_eq!(told.len(), 4, "{told:?}");
    for ((name, from, to), (of, since, until)) in told.iter().zip([
        (fan, 30.0, Some(55.0)),
        (pump, 30.0, Some(70.0)),
        (pump, 125.0, None),
        (fan, 125.0, None),
    ]) {
        assert_eq!(*name, of, "{told:?}");
        near(of, *from, since, 1e-9);
        assert_eq!(to.is_some(), until.is_some());
        near(of, to.unwrap_or(0.0), until.unwrap_or(0.0), 1e-6);
    }
    for (address, speed, stood) in
        [("air_paths/front/fan:speed", 0.8, 55.0), ("c/loop/second:speed", 1.0, 70.0)]
    {
        let column = column(&history, address);
        for (time, now) in history.times_s.iter().zip(&column) {
            let still = *time > stood + 1e-3 && *time < 90.0;
            if still || *time < stood - 1e-3 || *time > 90.0 {
                near(
                    &format!("{address} at {time} s"),
                    *now,
                    if still { 0.0 } else { speed },
                    1e-12,
                );
            }
        }
    }
    // The first pump has no such time: it stands at once.
    assert!(around(&history, "c/loop/first:speed", 30.0)[1] == 0.0);
    let parted = read(&case(
        ", switch: Switch(feels: \"c/loop/block\", on: \"60 °C\", off: \"55 °C\"), run_on: \"15 s\"",
        "",
        "\"pull\": Phase(time: \"100 s\"), \"park\": Phase(time: \"200 s\", power: \"0 %\", set: \
         [(\"coolers/block:heat\", \"0 W\")])",
    ));
    let history = followed(&parted);
    let off = history.switched.iter().find(|switched| !switched.on).expect("it goes off");
    let late = history.ran_on.first().expect("it runs on");
    near("from its switch on", late.from_s, off.at_s, 1e-9);
    near("for so long", late.to_s.expect("it stands") - off.at_s, 15.0, 1e-6);
}

/// A machine that has failed, which is one set to stand still, does not run on.
#[test]
fn what_is_set_to_stand_still_does_not_run_on() {
    let duty = "\"pull\": Phase(time: \"10 s\"), \"park\": Phase(time: \"10 s\", fans: \"0 %\")";
    let ready = read(&case(", speed: \"0 %\", run_on: \"25 s\"", "", duty));
    let history = followed(&ready);
    assert!(history.ran_on.is_empty());
    assert!(column(&history, "air_paths/front/fan:speed").iter().all(|speed| *speed == 0.0));
}
