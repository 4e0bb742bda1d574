//! Bores that hoses are sold in.

/// Nominal bores of hose as they are sold, mm: the metric ones, of which most are also sold as an inch size (19 as
/// ¾ in, 25 as 1 in, 51 as 2 in). Common practice, no source.
const SOLD_MM: [u32; 23] =
    [6, 8, 10, 13, 16, 19, 22, 25, 28, 32, 35, 38, 41, 45, 51, 57, 60, 63, 70, 76, 80, 90, 102];

/// A bore that is closer to one that is sold than this share of itself is that one.
const SAME: f64 = 0.05;

/// The next bore that is sold above one, m, as the case file writes it.
pub fn next_bore(bore_m: f64) -> Option<(f64, String)> {
    sold(|of_m| of_m > (1.0 + SAME) * bore_m)
}

/// The least bore that is sold of those from one on, m.
pub fn bore_from(bore_m: f64) -> Option<(f64, String)> {
    sold(|of_m| of_m >= bore_m)
}

fn sold(fits: impl Fn(f64) -> bool) -> Option<(f64, String)> {
    // As the file reader makes metres of millimetres.
    let all = SOLD_MM.iter().map(|mm| (f64::from(*mm) * 1e-3, format!("\"{mm} mm\"")));
    all.into_iter().find(|(of_m, _)| fits(*of_m))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bores_go_up_by_what_is_sold() {
        let next = |mm: f64| next_bore(mm * 1e-3).map(|(_, text)| text);
        assert_eq!(next(19.0).as_deref(), Some("\"22 mm\""));
        // An inch is sold as 25 mm, so it is not the next of that.
        assert_eq!(next(25.0).as_deref(), Some("\"28 mm\""));
        assert_eq!(next(25.4).as_deref(), Some("\"28 mm\""));
        assert_eq!(next(102.0), None);
        assert_eq!(bore_from(0.0175).map(|(_, text)| text).as_deref(), Some("\"19 mm\""));
    }
}
