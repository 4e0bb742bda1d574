//! A sheet to draw on: lines, shapes and texts as SVG. It knows where texts stand, so that none is
//! put over another.

use maud::{Markup, PreEscaped, html};

use super::pen::{Pen, Told};

/// Width of a sign over the height of the letters, on the wide side.
const WIDE: f64 = 0.58;

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
        Self { pen, width, height, out: String::new(), taken: Vec::new() }
    }

    pub(super) fn push(&mut self, markup: &Markup) {
        self.out.push_str(&markup.0);
    }

    pub(super) fn line(&mut self, [x1, y1]: [f64; 2], [x2, y2]: [f64; 2], class: &str) {
        self.push(&html! {
            line x1=(n(x1)) y1=(n(y1)) x2=(n(x2)) y2=(n(y2)) class=(class) {}
        });
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

    fn frame(at: At, told: &Told) -> Frame {
        let width = width_of(told, at.size);
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

    /// A text at the first of some places that is free; none where none is.
    pub(super) fn label(&mut self, places: &[At], class: &str, told: &Told) -> bool {
        let free = places.iter().find(|at| self.is_free(Self::frame(**at, told))).copied();
        let Some(at) = free else { return false };
        self.keep(Self::frame(at, told));
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

/// A text in every unit system.
pub(super) fn texts(at: At, class: &str, told: &Told) -> Markup {
    html! {
        @for (units, text) in told {
            text x=(n(at.x)) y=(n(at.y)) font-size=(n(at.size)) text-anchor=(at.anchor.word())
                class=(units.map_or_else(|| class.to_owned(), |units| format!("{class} {units}"))) { (text) }
        }
    }
}

/// A path through points; where a number is not known it is broken.
pub(super) fn through(points: &[[f64; 2]]) -> String {
    let mut d = String::new();
    let mut drawn = false;
    for [x, y] in points {
        if !(x.is_finite() && y.is_finite()) {
            drawn = false;
            continue;
        }
        d.push_str(if drawn { "L" } else { "M" });
        d.push_str(&format!("{} {}", n(*x), n(*y)));
        drawn = true;
    }
    d
}
