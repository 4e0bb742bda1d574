//! Scales: from numbers to places on a sheet, and the round numbers along them.

use coolwright_cases::quantity::{InUnit, Kind};

use super::canvas::{Anchor, Canvas, at, texts};
use super::pen::words;
use crate::render::Style;

/// Steps between round numbers, times a power of ten.
const ROUND: [f64; 4] = [1.0, 2.0, 5.0, 10.0];
/// Steps between round times, s.
const TIMES: [f64; 18] = [
    0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0, 7200.0,
    14400.0, 28800.0, 86400.0,
];

/// From numbers, SI, to places.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    pub(super) si: [f64; 2],
    pub(super) px: [f64; 2],
}

impl Scale {
    /// Between the least and the most of some numbers, with some room beyond; over nothing where there are
    /// none.
    pub(super) fn around(numbers: impl Iterator<Item = f64>, room: f64, px: [f64; 2]) -> Self {
        let known = numbers.filter(|number| number.is_finite());
        let (least, most) =
            known.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), x| (l.min(x), m.max(x)));
        if least > most {
            return Self { si: [0.0, 1.0], px };
        }
        let span = if most > least { most - least } else { (0.02 * most.abs()).max(1e-9) };
        Self { si: [least - room * span, most + room * span], px }
    }

    /// The place of a number.
    pub(super) fn at(&self, si: f64) -> f64 {
        let [from, to] = self.px;
        from + (to - from) * (si - self.si[0]) / (self.si[1] - self.si[0])
    }

    /// Round numbers of a unit along it, some `count` of them: SI, and as they are written.
    pub(super) fn ticks(
        &self,
        style: &Style,
        kind: Kind,
        count: f64,
    ) -> (Vec<(f64, String)>, &'static str) {
        let [low, high] = self.si;
        let unit = InUnit::suited(kind, low.abs().max(high.abs()), style.units);
        // Every unit is a straight line over SI.
        let (offset, factor) = (unit.number(0.0), unit.number(1.0) - unit.number(0.0));
        let (from, to) = (low * factor + offset, high * factor + offset);
        let rough = (to - from) / count;
        let power = 10.0_f64.powf(rough.log10().floor());
        let step = ROUND.iter().map(|round| round * power).find(|step| *step >= rough * 0.999);
        let step = step.unwrap_or(10.0 * power);
        let mut ticks = Vec::new();
        let mut k = (from / step).ceil();
        while k * step <= to * (1.0 + 1e-12) + 1e-12 && ticks.len() < 40 {
            let number = k * step;
            let digits = (-step.log10().floor()).max(0.0);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 15")]
            let digits = digits.min(15.0) as usize;
            let text = format!("{:.digits$}", if number == 0.0 { 0.0 } else { number });
            ticks.push(((number - offset) / factor, text));
            k += 1.0;
        }
        (ticks, unit.symbol)
    }

    /// Round times along it.
    pub(super) fn times(&self, count: f64) -> Vec<(f64, String)> {
        let [low, high] = self.si;
        let rough = (high - low) / count;
        let step = TIMES.iter().copied().find(|step| *step >= rough).unwrap_or(86400.0);
        let mut ticks = Vec::new();
        let mut k = (low / step).ceil();
        while k * step <= high + 1e-9 {
            ticks.push((k * step, clock(k * step)));
            k += 1.0;
        }
        ticks
    }
}

/// A round time as people read it along an axis.
fn clock(s: f64) -> String {
    if s.fract() != 0.0 && s < 60.0 {
        return format!("0:{s:04.1}");
    }
    let (hours, rest) = ((s / 3600.0).floor(), s % 3600.0);
    let (minutes, seconds) = ((rest / 60.0).floor(), rest % 60.0);
    if hours > 0.0 {
        format!("{hours:.0}:{minutes:02.0}:{seconds:02.0}")
    } else {
        format!("{minutes:.0}:{seconds:02.0}")
    }
}

/// The left axis of a plot: fine lines across it, numbers beside it, the unit above them.
pub(super) fn left_axis(
    canvas: &mut Canvas<'_>,
    scale: &Scale,
    kind: Kind,
    [left, right]: [f64; 2],
) {
    let count = ((scale.px[0] - scale.px[1]).abs() / 24.0).max(3.0);
    let styles: Vec<_> = canvas.pen.styles().collect();
    for (style, class) in styles {
        let (ticks, unit) = scale.ticks(&style, kind, count);
        canvas.open(&group(class));
        let across = |(si, _): &(f64, String)| [left, right].map(|x| [x, scale.at(*si)]);
        let across: Vec<_> = ticks.iter().map(across).collect();
        canvas.lines(&across, "grid");
        for (si, text) in ticks {
            let y = scale.at(si);
            let number = at(left - 6.0, y + 3.5, Anchor::End, 10.0);
            canvas.push(&texts(number, "num", &words(text)));
        }
        let top = at(left - 6.0, scale.px[1] - 9.0, Anchor::End, 10.0);
        canvas.push(&texts(top, "unit", &words(unit)));
        canvas.close("</g>");
    }
    canvas.keep([0.0, scale.px[1] - 18.0, left - 1.0, scale.px[0] + 6.0]);
}

/// The axis below a plot: fine lines through it, numbers below it, the unit at the end.
pub(super) fn bottom_axis(
    canvas: &mut Canvas<'_>,
    scale: &Scale,
    kind: Kind,
    [top, bottom]: [f64; 2],
) {
    let count = ((scale.px[1] - scale.px[0]).abs() / 70.0).max(2.0);
    let styles: Vec<_> = canvas.pen.styles().collect();
    for (style, class) in styles {
        let (ticks, unit) = scale.ticks(&style, kind, count);
        canvas.open(&group(class));
        let up = |(si, _): &(f64, String)| [top, bottom].map(|y| [scale.at(*si), y]);
        let up: Vec<_> = ticks.iter().map(up).collect();
        canvas.lines(&up, "grid");
        for (si, text) in ticks {
            let x = scale.at(si);
            canvas.push(&texts(at(x, bottom + 13.0, Anchor::Middle, 10.0), "num", &words(text)));
        }
        let end = at(scale.px[1], bottom + 26.0, Anchor::End, 10.0);
        canvas.push(&texts(end, "unit", &words(unit)));
        canvas.close("</g>");
    }
    canvas.keep([scale.px[0] - 12.0, bottom + 3.0, scale.px[1] + 12.0, bottom + 30.0]);
}

/// The tag of a group for one unit system.
pub(super) fn group(class: Option<&'static str>) -> String {
    class.map_or_else(|| "<g>".to_owned(), |class| format!("<g class=\"{class}\">"))
}

#[cfg(test)]
mod tests {
    use coolwright_cases::quantity::UnitSystem;

    use super::*;

    #[test]
    fn ticks_are_round_in_the_units_of_the_reader_and_stand_where_they_are() {
        let scale = Scale { si: [300.0, 360.0], px: [0.0, 60.0] };
        let us = Style { units: UnitSystem::Us, color: false };
        let (ticks, unit) = scale.ticks(&us, Kind::Temperature, 4.0);
        assert_eq!(unit, "°F");
        let texts: Vec<&str> = ticks.iter().map(|(_, text)| text.as_str()).collect();
        assert_eq!(texts, ["100", "150"]);
        // 100 °F are 310.928 K (NIST SP 811).
        assert!((ticks[0].0 - 310.928).abs() < 1e-3, "{}", ticks[0].0);
        assert!((scale.at(ticks[0].0) - 10.928).abs() < 1e-3);
    }

    #[test]
    fn times_are_told_as_a_clock_shows_them() {
        let scale = Scale { si: [0.0, 2400.0], px: [0.0, 600.0] };
        let texts: Vec<String> = scale.times(5.0).into_iter().map(|(_, text)| text).collect();
        assert_eq!(texts, ["0:00", "10:00", "20:00", "30:00", "40:00"]);
    }
}
