//! Laws outside the ranges on their cards.

use super::Warning;
use crate::explain::explain;
use crate::laws::card::Outside;
use crate::simulate::Simulator;

/// One warning for each law and symbol, with everything that is outside.
pub(super) fn ranges(simulator: &Simulator<'_>, found: &mut Vec<Warning>) {
    let first = found.len();
    for explained in explain(simulator) {
        let warned = explained.law.card.ranges.iter().filter(|of| of.outside == Outside::Warn);
        for range in warned {
            let beyond = explained.law.beyond(range).filter(|number| !range.nearly_holds(*number));
            let Some(outside) = beyond else { continue };
            let how_far = |number: f64| (range.least - number).max(number - range.most);
            let same = found[first..].iter_mut().find_map(|warning| match warning {
                Warning::OutsideRange { what, law, of, number }
                    if law.key == explained.law.card.key && *of == range.of =>
                {
                    Some((what, number))
                }
                _ => None,
            });
            match same {
                Some((what, number)) => {
                    if what.last() != Some(&explained.id) {
                        what.push(explained.id);
                    }
                    if how_far(outside) > how_far(*number) {
                        *number = outside;
                    }
                }
                None => found.push(Warning::OutsideRange {
                    what: vec![explained.id],
                    law: explained.law.card,
                    of: range.of,
                    number: outside,
                }),
            }
        }
    }
}
