//! Pictures of a case as SVG, drawn from the typed sections of its answers and from its
//! [`crate::answer::drawing::Drawing`]. Nothing is worked out here but places on a sheet.

mod air;
mod bars;
mod budget;
mod canvas;
mod charge;
pub mod circuit;
mod curves;
pub mod histories;
mod learnt;
pub mod limits;
mod pen;
mod rows;
mod scale;
mod variants;

pub use canvas::Picture;
pub use pen::{Pen, Told, in_page, words};

use maud::{Markup, PreEscaped, html};

use crate::answer::drawing::Report;

/// How pictures look, in a page and alone.
pub const STYLE: &str = include_str!("pictures.css");

/// The pictures of one subject.
#[derive(Clone, Debug, Default)]
pub struct Pictures {
    /// Limits as bars.
    pub limits: Vec<Picture>,
    /// Circuits along their way.
    pub circuits: Vec<Picture>,
    /// Pumps and fans against their systems.
    pub curves: Vec<Picture>,
    /// The split of every cooler.
    pub splits: Vec<Picture>,
    /// Pressure budgets.
    pub budgets: Vec<Picture>,
    /// Ways of the air.
    pub air: Vec<Picture>,
    /// Ways of charge air.
    pub charge: Vec<Picture>,
    /// Results over time.
    pub histories: Vec<Picture>,
    /// The heat ledger.
    pub ledger: Vec<Picture>,
    /// Variants against each limit.
    pub variants: Vec<Picture>,
    /// What a log tells.
    pub learnt: Vec<Picture>,
}

impl Pictures {
    /// All pictures of a case.
    pub fn of(pen: &Pen, report: &Report) -> Self {
        let Report { point, cycle, compare, learnt, drawing, .. } = report;
        Self {
            limits: limits::all(pen, report.judge()).into_iter().collect(),
            circuits: drawing.circuits.iter().map(|c| circuit::picture(pen, c)).collect(),
            curves: drawing.curves.iter().map(|c| curves::picture(pen, c)).collect(),
            splits: bars::splits(pen, point),
            budgets: budget::budgets(pen, point, &drawing.circuits),
            air: drawing.air.iter().map(|a| air::picture(pen, a)).collect(),
            charge: drawing.charge.iter().map(|way| charge::picture(pen, way)).collect(),
            histories: cycle.iter().flat_map(|c| histories::pictures(pen, c)).collect(),
            ledger: cycle.iter().filter_map(|c| bars::ledger(pen, c)).collect(),
            variants: compare.iter().flat_map(|c| variants::pictures(pen, c)).collect(),
            learnt: learnt.iter().flat_map(|answer| learnt::pictures(pen, answer)).collect(),
        }
    }

    /// All of them, in the order of a page.
    pub fn all(&self) -> impl Iterator<Item = &Picture> {
        let Self { limits, circuits, curves, splits, budgets, air, charge, .. } = self;
        let Self { histories, ledger, variants, learnt, .. } = self;
        let all = [
            limits, circuits, curves, splits, budgets, air, charge, histories, ledger, variants,
            learnt,
        ];
        all.into_iter().flatten()
    }
}

/// A picture in a page.
pub fn in_figure(picture: &Picture) -> Markup {
    let [width, height] = picture.size;
    let spoken = picture.title.first().map_or("", |(_, text)| text.as_str()).replace('`', "");
    html! {
        svg viewBox={ "0 0 " (canvas::n(width)) " " (canvas::n(height)) } width=(canvas::n(width))
            height=(canvas::n(height)) role="group" aria-label=(spoken) { (picture.body) }
    }
}

/// A picture as a file of its own.
pub fn alone(picture: &Picture) -> String {
    let [width, height] = picture.size.map(canvas::n);
    let title = picture.title.first().map_or("", |(_, text)| text.as_str());
    let body = html! {
        title { (title.replace('`', "")) }
        style { (PreEscaped(STYLE)) }
        rect class="paper" width="100%" height="100%" {}
        (picture.body)
    };
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"alone\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" \
         height=\"{height}\">\n{}\n</svg>\n",
        body.into_string()
    )
}
