//! How long a phase may last, or must: by halving, with the whole cycle followed each time.

/// How a cycle stands with a phase of some length.
#[derive(Clone, Debug, PartialEq)]
pub enum Trial {
    /// Every limit is judged and kept, and every rest makes ready.
    Holds,
    /// What it fails by, in its own words: the limit that breaks first, or what is not ready.
    Fails(String),
}

impl Trial {
    fn holds(&self) -> bool {
        *self == Self::Holds
    }
}

/// How long a phase may last, or must.
#[derive(Clone, Debug, PartialEq)]
pub enum Lasts {
    /// So long, s, within [`FINE_S`] or [`FINE`] of it; beyond, it fails by this.
    To {
        /// The last length that holds, s.
        s: f64,
        /// What fails beyond it.
        by: String,
    },
    /// Every length that was tried holds, to this one, s.
    All(f64),
    /// No length that was tried holds; at the last it fails by this.
    None(String),
}

/// A phase with what was found of it.
#[derive(Clone, Debug)]
pub struct Lasting {
    /// Its name in the file.
    pub phase: String,
    /// Its length in the file, s.
    pub written_s: f64,
    /// Whether it is a rest, whose least length is sought; of others it is the most.
    pub is_rest: bool,
    /// What was found.
    pub lasts: Lasts,
}

/// How finely a length is found, s, and as a share of it.
pub const FINE_S: f64 = 0.1;
/// See [`FINE_S`].
pub const FINE: f64 = 0.005;

/// Where what a phase may last ends: the longest length that holds, or of a rest the shortest. From the written length
/// on it is doubled or halved, to `most_s` or to [`FINE_S`], until one holds and the next does not. `trial` follows the
/// cycle with a length, s.
///
/// # Errors
/// Those of `trial`.
pub fn lasts<E>(
    is_rest: bool,
    [written_s, most_s]: [f64; 2],
    trial: &mut dyn FnMut(f64) -> Result<Trial, E>,
) -> Result<Lasts, E> {
    let (mut s, mut stands) = (written_s, trial(written_s)?);
    // A load that holds may be longer, and a rest that does not has to be.
    let longer = stands.holds() != is_rest;
    loop {
        let next_s = if longer { (2.0 * s).min(most_s) } else { 0.5 * s };
        if (longer && s >= most_s) || next_s < FINE_S {
            return Ok(match stands {
                Trial::Holds => Lasts::All(s),
                Trial::Fails(by) => Lasts::None(by),
            });
        }
        let next = trial(next_s)?;
        match (stands, next) {
            (Trial::Holds, Trial::Fails(by)) => return halved(s, (next_s, by), trial),
            (Trial::Fails(by), Trial::Holds) => return halved(next_s, (s, by), trial),
            (_, next) => (s, stands) = (next_s, next),
        }
    }
}

/// The end of what holds, between a length that does and one that does not, always on the side that holds.
fn halved<E>(
    mut holds_s: f64,
    (mut fails_s, mut by): (f64, String),
    trial: &mut dyn FnMut(f64) -> Result<Trial, E>,
) -> Result<Lasts, E> {
    while (holds_s - fails_s).abs() > FINE_S.max(FINE * holds_s) {
        let middle = 0.5 * (holds_s + fails_s);
        match trial(middle)? {
            Trial::Holds => holds_s = middle,
            Trial::Fails(why) => (fails_s, by) = (middle, why),
        }
    }
    Ok(Lasts::To { s: holds_s, by })
}

/// How far a number may go until something fails, within `fine`, on the side that holds: from `today` towards `far` where
/// it holds today, else back towards `near`; and what fails beyond. No value where none between holds, no reason where all
/// do.
pub fn edge<E>(
    [today, far, near]: [f64; 3],
    fine: f64,
    trial: &dyn Fn(f64) -> Result<(), E>,
) -> (Option<f64>, Option<E>) {
    let (mut holds, fails, mut by) = match trial(today) {
        Ok(()) => match trial(far) {
            Ok(()) => return (Some(far), None),
            Err(by) => (today, far, by),
        },
        Err(by) => match trial(near) {
            Ok(()) => (near, today, by),
            Err(by) => return (None, Some(by)),
        },
    };
    let mut fails = fails;
    while (fails - holds).abs() > fine {
        let middle = 0.5 * (holds + fails);
        match trial(middle) {
            Ok(()) => holds = middle,
            Err(why) => (fails, by) = (middle, why),
        }
    }
    (Some(holds), Some(by))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_edge_is_found_from_either_side() {
        let below = |most: f64| move |x: f64| if x <= most { Ok(()) } else { Err("hot") };
        let near = |found: (Option<f64>, Option<&str>), wanted: f64| {
            let value = found.0.expect("a value");
            assert!(value <= wanted && value > wanted - 0.2 && found.1 == Some("hot"), "{found:?}");
        };
        near(edge([20.0, 100.0, 0.0], 0.2, &below(61.3)), 61.3);
        near(edge([20.0, 100.0, 0.0], 0.2, &below(7.7)), 7.7);
        assert_eq!(edge([20.0, 100.0, 0.0], 0.2, &below(200.0)), (Some(100.0), None));
        assert_eq!(edge([20.0, 100.0, 0.0], 0.2, &below(-1.0)), (None, Some("hot")));
        // Downwards: the less ice, the sooner it fails.
        let above = |x: f64| if x >= 3.0 { Ok(()) } else { Err("gone") };
        let (found, by) = edge([15.0, 0.0, 60.0], 0.1, &above);
        assert!(by == Some("gone") && (3.0..3.1).contains(&found.expect("a value")));
    }

    fn below(edge: f64) -> impl FnMut(f64) -> Result<Trial, ()> {
        move |s| Ok(if s <= edge { Trial::Holds } else { Trial::Fails("hot".to_owned()) })
    }

    fn above(edge: f64) -> impl FnMut(f64) -> Result<Trial, ()> {
        move |s| Ok(if s >= edge { Trial::Holds } else { Trial::Fails("not ready".to_owned()) })
    }

    /// From below, from above, none, all.
    #[test]
    fn the_edge_is_found_from_both_sides() {
        for edge in [3.3, 14.0, 200.0] {
            let Ok(Lasts::To { s, by }) = lasts(false, [14.0, 3600.0], &mut below(edge)) else {
                panic!("{edge}")
            };
            assert!(s <= edge && edge - s <= FINE_S.max(FINE * s) && by == "hot", "{edge} {s}");
            let Ok(Lasts::To { s, by }) = lasts(true, [14.0, 3600.0], &mut above(edge)) else {
                panic!("{edge}")
            };
            assert!(
                s >= edge && s - edge <= FINE_S.max(FINE * s) && by == "not ready",
                "{edge} {s}"
            );
        }
        assert_eq!(lasts(false, [14.0, 3600.0], &mut below(5000.0)), Ok(Lasts::All(3600.0)));
        assert_eq!(
            lasts(false, [14.0, 3600.0], &mut below(0.0)),
            Ok(Lasts::None("hot".to_owned()))
        );
        assert!(
            matches!(lasts(true, [14.0, 3600.0], &mut above(0.0)), Ok(Lasts::All(s)) if s < 0.2)
        );
        assert_eq!(
            lasts(true, [14.0, 3600.0], &mut above(1e9)),
            Ok(Lasts::None("not ready".to_owned()))
        );
    }
}
