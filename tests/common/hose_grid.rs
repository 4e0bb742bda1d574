//! A grid of hoses: a case that is as large as one likes.

use std::fmt::Write;

/// The runs of a grid of `n` by `n` junctions: its hoses, and the pump, tank and core that feed it.
pub(crate) fn runs(n: usize) -> usize {
    2 * n * (n - 1) + 1
}

/// A case of `n` by `n` junctions, 2 or more, joined by hoses of 1.0 to 1.9 m of 20 mm bore. From the last junction a
/// tank, a pump and a core feed the first.
pub(crate) fn hose_grid(n: usize) -> String {
    let mut runs = String::new();
    for i in 0..n {
        for j in 0..n {
            let mut hose = |name: char, [to_i, to_j]: [usize; 2], tenths: usize| {
                let _ = writeln!(
                    runs,
                    "\"{name}{i}_{j}\": Run(from: \"j{i}_{j}\", to: \"j{to_i}_{to_j}\", parts: {{ \"hose\": \
                     Hose(length: \"1.{tenths} m\") }}),"
                );
            };
            if j + 1 < n {
                hose('h', [i, j + 1], (7 * i + 3 * j) % 10);
            }
            if i + 1 < n {
                hose('v', [i + 1, j], (5 * i + j) % 10);
            }
        }
    }
    let last = n - 1;
    format!(
        "Case(circuits: {{ \"grid\": Circuit(coolant: Water, start: \"25 °C\", bore: \"20 mm\", runs: {{
            {runs}
            \"feed\": Run(from: \"j{last}_{last}\", to: \"j0_0\", parts: {{ \"tank\": Tank(volume: \"10 L\"),
                \"pump\": Pump(shut_off: \"100 kPa\", free_flow: \"200 L/min\"), \"core\": CoreSide(core: \"core\") }}) }}) }},
        cores: {{ \"core\": Core(rated: (heat: \"40 kW\", coolant: \"60 L/min\", air: \"1.6 kg/s\", difference: \"40 K\")) }},
        air_paths: {{ \"front\": AirPath(cores: [\"core\"],
            fans: {{ \"fan\": Fan(shut_off: \"260 Pa\", free_flow: \"2600 m3/h\") }}) }},
        limits: {{ \"feed\": Limit(of: \"grid/feed:flow\", min: \"1 L/min\") }})"
    )
}
