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

/// The longest length from which on a phase fails. `trial` follows the cycle with a length, s.
///
/// # Errors
/// Those of `trial`.
pub fn longest<E>(
    written_s: f64,
    most_s: f64,
    trial: &mut dyn FnMut(f64) -> Result<Trial, E>,
) -> Result<Lasts, E> {
    let mut s = written_s;
    let mut first = trial(s)?;
    let up = first.holds();
    loop {
        let next_s = if up { (2.0 * s).min(most_s) } else { 0.5 * s };
        if up && s >= most_s {
            return Ok(Lasts::All(s));
        }
        if let (false, Trial::Fails(by)) = (up || next_s >= FINE_S, &first) {
            return Ok(Lasts::None(by.clone()));
        }
        let next = trial(next_s)?;
        if next.holds() != up {
            let (holds_s, fails_s) = if up { (s, next_s) } else { (next_s, s) };
            let by = if up { next } else { first };
            return halved(holds_s, (fails_s, by), trial);
        }
        (s, first) = (next_s, next);
    }
}

/// The shortest length down to which a phase holds.
///
/// # Errors
/// Those of `trial`.
pub fn shortest<E>(
    written_s: f64,
    most_s: f64,
    trial: &mut dyn FnMut(f64) -> Result<Trial, E>,
) -> Result<Lasts, E> {
    let mut s = written_s;
    let mut first = trial(s)?;
    let down = first.holds();
    loop {
        let next_s = if down { 0.5 * s } else { (2.0 * s).min(most_s) };
        if down && next_s < FINE_S {
            return Ok(Lasts::All(s));
        }
        if let (false, true, Trial::Fails(by)) = (down, s >= most_s, &first) {
            return Ok(Lasts::None(by.clone()));
        }
        let next = trial(next_s)?;
        if next.holds() != down {
            let (holds_s, fails_s) = if down { (s, next_s) } else { (next_s, s) };
            let by = if down { next } else { first };
            return halved(holds_s, (fails_s, by), trial);
        }
        (s, first) = (next_s, next);
    }
}

/// The end of what holds, between a length that does and one that does not, always on the side that holds.
fn halved<E>(
    mut holds_s: f64,
    (mut fails_s, mut by): (f64, Trial),
    trial: &mut dyn FnMut(f64) -> Result<Trial, E>,
) -> Result<Lasts, E> {
    while (holds_s - fails_s).abs() > FINE_S.max(FINE * holds_s) {
        let middle = 0.5 * (holds_s + fails_s);
        match trial(middle)? {
            Trial::Holds => holds_s = middle,
            fails @ Trial::Fails(_) => (fails_s, by) = (middle, fails),
        }
    }
    let by = match by {
        Trial::Fails(by) => by,
        Trial::Holds => String::new(),
    };
    Ok(Lasts::To { s: holds_s, by })
}

#[cfg(test)]
mod tests {
    use super::*;

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
            let Ok(Lasts::To { s, by }) = longest(14.0, 3600.0, &mut below(edge)) else {
                panic!("{edge}")
            };
            assert!(s <= edge && edge - s <= FINE_S.max(FINE * s) && by == "hot", "{edge} {s}");
            let Ok(Lasts::To { s, by }) = shortest(14.0, 3600.0, &mut above(edge)) else {
                panic!("{edge}")
            };
            assert!(
                s >= edge && s - edge <= FINE_S.max(FINE * s) && by == "not ready",
                "{edge} {s}"
            );
        }
        assert_eq!(longest(14.0, 3600.0, &mut below(5000.0)), Ok(Lasts::All(3600.0)));
        assert_eq!(longest(14.0, 3600.0, &mut below(0.0)), Ok(Lasts::None("hot".to_owned())));
        assert!(matches!(shortest(14.0, 3600.0, &mut above(0.0)), Ok(Lasts::All(s)) if s < 0.2));
        assert_eq!(
            shortest(14.0, 3600.0, &mut above(1e9)),
            Ok(Lasts::None("not ready".to_owned()))
        );
    }
}
