//! A sheet to draw on: lines, shapes and texts as SVG. It knows where texts stand, so that none is
//! put over another.

use maud::{Markup, PreEscaped, html};

use super::pen::{Pen, Told};

/// The size of most texts, which is that of the sheet.
const SIZE: f64 = 10.0;

/// Width of a sign over the height of the letters, on the wide side.
const WIDE: f64 = 0.58;

/// How much wider letters are that are drawn heavy.
const HEAVY: f64 = 1.12;

/// Where a text begins at its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    fn word(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Middle => "middle",
            Self::End => "end",
        }
    }
}

/// Where and how a text stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct At {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) anchor: Anchor,
    pub(super) size: f64,
}

/// A text at a point.
pub(super) fn at(x: f64, y: f64, anchor: Anchor, size: f64) -> At {
    At { x, y, anchor, size }
}

/// A box: left, top, right, bottom.
type Frame = [f64; 4];

/// A sheet.
pub(super) struct Canvas<'p> {
    pub(super) pen: &'p Pen,
    pub(super) width: f64,
    pub(super) height: f64,
    out: String,
    taken: Vec<Frame>,
    /// Lines that texts should not stand upon.
    minded: Vec<[[f64; 2]; 2]>,
}

/// A finished picture.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Its name, by which it is asked for.
    pub name: String,
    /// What it shows.
    pub title: Told,
    /// Width and height.
    pub size: [f64; 2],
    /// What is drawn.
    pub body: Markup,
}

/// A coordinate: a tenth of a point is as fine as anyone sees.
pub(super) fn n(x: f64) -> String {
    let text = format!("{:.1}", if x.is_finite() { x } else { 0.0 });
    match text.strip_suffix(".0") {
        Some("-0") => "0".to_owned(),
        Some(whole) => whole.to_owned(),
        None => text,
    }
}

/// The width of a text, on the wide side.
pub(super) fn width_of(told: &Told, size: f64) -> f64 {
    let signs = told.iter().map(|(_, text)| text.chars().count()).max().unwrap_or(0);
    signs as f64 * size * WIDE
}

impl<'p> Canvas<'p> {
    pub(super) fn new(pen: &'p Pen, width: f64, height: f64) -> Self {
        Self { pen, width, height, out: String::new(), taken: Vec::new(), minded: Vec::new() }
    }

    pub(super) fn push(&mut self, markup: &Markup) {
        self.out.push_str(&markup.0);
    }

    pub(super) fn line(&mut self, [x1, y1]: [f64; 2], [x2, y2]: [f64; 2], class: &str) {
        self.push(&html! {
            line x1=(n(x1)) y1=(n(y1)) x2=(n(x2)) y2=(n(y2)) class=(class) {}
        });
    }

    /// Lines as one path.
    pub(super) fn lines(&mut self, lines: &[[[f64; 2]; 2]], class: &str) {
        let d: String = lines.iter().map(|ends| through(ends)).collect();
        if !d.is_empty() {
            self.path(&d, class);
        }
    }

    pub(super) fn rect(&mut self, [left, top, right, bottom]: Frame, class: &str) {
        let (width, height) = ((right - left).max(0.0), (bottom - top).max(0.0));
        self.push(&html! {
            rect x=(n(left)) y=(n(top)) width=(n(width)) height=(n(height)) class=(class) {}
        });
    }

    pub(super) fn circle(&mut self, [x, y]: [f64; 2], radius: f64, class: &str) {
        self.push(&html! { circle cx=(n(x)) cy=(n(y)) r=(n(radius)) class=(class) {} });
    }

    pub(super) fn path(&mut self, d: &str, class: &str) {
        self.push(&html! { path d=(d) class=(class) {} });
    }

    /// A line through points; where a number is not known it is broken.
    pub(super) fn polyline(&mut self, points: &[[f64; 2]], class: &str) {
        let d = through(points);
        if !d.is_empty() {
            self.path(&d, class);
        }
    }

    /// Opens a group; whatever follows belongs to it until it is closed.
    pub(super) fn open(&mut self, tag: &str) {
        self.out.push_str(tag);
    }

    pub(super) fn close(&mut self, tag: &str) {
        self.out.push_str(tag);
    }

    fn frame(at: At, class: &str, told: &Told) -> Frame {
        let heavy = ["value", "state broken", "state open"].contains(&class);
        let width = width_of(told, at.size) * if heavy { HEAVY } else { 1.0 };
        let left = match at.anchor {
            Anchor::Start => at.x,
            Anchor::Middle => at.x - width / 2.0,
            Anchor::End => at.x - width,
        };
        [left, at.y - 0.8 * at.size, left + width, at.y + 0.25 * at.size]
    }

    /// Whether a frame is free of texts and within the sheet.
    fn is_free(&self, [left, top, right, bottom]: Frame) -> bool {
        let apart = |of: &Frame| right <= of[0] || left >= of[2] || bottom <= of[1] || top >= of[3];
        let within = left >= 0.0 && top >= 0.0 && right <= self.width && bottom <= self.height;
        within && self.taken.iter().all(apart)
    }

    /// Keeps a place free of texts.
    pub(super) fn keep(&mut self, frame: Frame) {
        self.taken.push(frame);
    }

    /// Remembers a line that texts should not stand upon.
    pub(super) fn mind(&mut self, points: &[[f64; 2]]) {
        let known = |ends: &[[f64; 2]]| ends.iter().flatten().all(|x| x.is_finite());
        let pairs = points.windows(2).filter(|ends| known(ends));
        self.minded.extend(pairs.map(|ends| [ends[0], ends[1]]));
    }

    /// Whether one of the lines that were minded goes through a frame.
    fn is_crossed(&self, frame: Frame) -> bool {
        self.minded.iter().any(|ends| crosses(*ends, frame))
    }

    /// A text at the first of some places that is free, if it can be upon no line; none where none is.
    pub(super) fn label(&mut self, places: &[At], class: &str, told: &Told) -> bool {
        let frame = |at: &At| Self::frame(*at, class, told);
        let free: Vec<At> = places.iter().filter(|at| self.is_free(frame(at))).copied().collect();
        let clear = free.iter().find(|at| !self.is_crossed(frame(at))).copied();
        let Some(at) = clear.or(free.first().copied()) else { return false };
        self.keep(Self::frame(at, class, told));
        let markup = texts(at, class, told);
        self.push(&markup);
        true
    }

    /// The finished picture.
    pub(super) fn done(self, name: String, title: Told) -> Picture {
        let size = [self.width, self.height];
        Picture { name, title, size, body: PreEscaped(self.out) }
    }
}

/// Whether a straight line goes through a frame.
fn crosses([from, to]: [[f64; 2]; 2], [left, top, right, bottom]: Frame) -> bool {
    // What is left of it within each pair of sides (Liang and Barsky 1984).
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    for (start, step, low, high) in
        [(from[0], to[0] - from[0], left, right), (from[1], to[1] - from[1], top, bottom)]
    {
        if step == 0.0 {
            if start <= low || start >= high {
                return false;
            }
            continue;
        }
        let (a, b) = ((low - start) / step, (high - start) / step);
        enters = enters.max(a.min(b));
        leaves = leaves.min(a.max(b));
    }
    enters < leaves
}

/// A text in every unit system.
pub(super) fn texts(at: At, class: &str, told: &Told) -> Markup {
    html! {
        @for (units, text) in told {
            text x=(n(at.x)) y=(n(at.y)) font-size=[(at.size != SIZE).then(|| n(at.size))] text-anchor=(at.anchor.word())
                class=(units.map_or_else(|| class.to_owned(), |units| format!("{class} {units}"))) { (text) }
        }
    }
}

/// A text no wider than that, its end left out where it is longer.
pub(super) fn fitted(told: &Told, size: f64, width: f64) -> Told {
    if width_of(told, size) <= width {
        return told.clone();
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some hundreds")]
    let signs = (width / (size * WIDE)).max(2.0) as usize;
    let short = |text: &String| {
        if text.chars().count() <= signs {
            return text.clone();
        }
        let kept: String = text.chars().take(signs - 1).collect();
        format!("{}\u{2026}", kept.trim_end())
    };
    told.iter().map(|(class, text)| (*class, short(text))).collect()
}

/// A path through points; where a number is not known it is broken. Each point is told from the one before, which is
/// shorter, in whole tenths, so that nothing adds up.
pub(super) fn through(points: &[[f64; 2]]) -> String {
    let mut d = String::new();
    let mut last: Option<[f64; 2]> = None;
    for point in points {
        if !point.iter().all(|x| x.is_finite()) {
            last = None;
            continue;
        }
        let tenths = point.map(|x| (x * 10.0).round());
        let [x, y] = last.map_or(tenths, |[x, y]| [tenths[0] - x, tenths[1] - y]);
        if last.is_some() && x.abs() + y.abs() < 0.5 {
            continue;
        }
        let between = if y < 0.0 { "" } else { " " };
        d.push_str(if last.is_some() { "l" } else { "M" });
        d.push_str(&format!("{}{between}{}", short(x), short(y)));
        last = Some(tenths);
    }
    d
}

/// Tenths as a path writes them.
fn short(tenths: f64) -> String {
    let text = n(tenths / 10.0);
    match (text.strip_prefix("0."), text.strip_prefix("-0.")) {
        (Some(rest), _) => format!(".{rest}"),
        (_, Some(rest)) => format!("-.{rest}"),
        _ => text,
    }
}

/// The points of a line that it takes to draw it no more than `off` above or below where it stands: from the last one
/// that was kept as far on as a straight line passes all between so closely.
pub(super) fn thinned(points: &[[f64; 2]], off: f64) -> Vec<[f64; 2]> {
    let mut kept: Vec<[f64; 2]> = Vec::new();
    let any = [f64::NEG_INFINITY, f64::INFINITY];
    // The last point, where it was not kept, and the slopes from the last that was which pass all between.
    let (mut last, mut slopes): (Option<[f64; 2]>, [f64; 2]) = (None, any);
    for &[x, y] in points {
        let near = |from: [f64; 2], [low, high]: [f64; 2]| {
            let (run, rise) = (x - from[0], y - from[1]);
            let passes = run > 0.0 && (low..=high).contains(&(rise / run));
            passes.then(|| [low.max((rise - off) / run), high.min((rise + off) / run)])
        };
        let goes_on = kept.last().and_then(|from| near(*from, slopes));
        let turns = || last.and_then(|from| near(from, any).map(|slopes| (from, slopes)));
        if let Some(narrower) = goes_on {
            (last, slopes) = (Some([x, y]), narrower);
        } else if let Some((corner, anew)) = turns() {
            kept.push(corner);
            (last, slopes) = (Some([x, y]), anew);
        } else {
            kept.extend(last);
            kept.push([x, y]);
            (last, slopes) = (None, any);
        }
    }
    kept.extend(last);
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_goes_on_from_point_to_point_and_breaks_where_nothing_is_known() {
        let points =
            [[1.0, 2.0], [1.26, 1.84], [f64::NAN, 3.0], [4.0, 5.0], [4.01, 5.01], [5.0, 5.0]];
        assert_eq!(through(&points), "M1 2l.3-.2M4 5l1 0");
    }

    /// Between points that are kept a straight line passes every point that is not, and each gap stays one.
    #[test]
    fn a_thinned_line_stands_where_the_whole_one_does() {
        let off = 0.12;
        let wave = |k: i32| {
            let x = f64::from(k) * 0.37;
            let y = 40.0 * (0.05 * x).sin() + if (400..420).contains(&k) { 25.0 } else { 0.0 };
            [x, if (700..705).contains(&k) { f64::NAN } else { y }]
        };
        let points: Vec<[f64; 2]> = (0..2000).map(wave).collect();
        let kept = thinned(&points, off);
        assert!(kept.len() < points.len() / 5, "{} of {}", kept.len(), points.len());
        assert_eq!((kept[0], kept[kept.len() - 1]), (points[0], points[1999]));
        let mut met = 0;
        for [x, y] in &points {
            let at = kept.partition_point(|[kept, _]| kept <= x).clamp(1, kept.len() - 1);
            let ([x1, y1], [x2, y2]) = (kept[at - 1], kept[at]);
            let there = y1 + (y2 - y1) * (x - x1) / (x2 - x1);
            if y.is_finite() {
                // Beside a gap the point itself is kept.
                let there = if (x1 - x).abs() < 1e-9 { y1 } else { there };
                assert!((there - y).abs() <= off + 1e-9, "{x}: {there} for {y}");
                met += 1;
            } else {
                assert!(y1.is_nan() || y2.is_nan(), "{x} is a gap");
            }
        }
        assert_eq!(met, 1995);
    }
}
