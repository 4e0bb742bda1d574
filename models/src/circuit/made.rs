//! Names of what the program makes by itself.
//!
//! Each stands under the name of what it was made for, behind a slash, which no name of a file holds: so no address
//! means two things, and none is taken from those who write cases.

/// Number `k`, from 1, of several pumps or fans under one name.
pub fn unit(of: &str, k: usize) -> String {
    format!("{of}/{k}")
}

/// The check valve of one of several pumps side by side.
pub fn valve(unit: &str) -> String {
    format!("{unit}/valve")
}

/// The run through pump `k` of several side by side.
pub fn branch(of: &str, k: usize) -> String {
    format!("{of}/branch_{k}")
}

/// The junction ahead of pumps side by side.
pub fn inlet(of: &str) -> String {
    format!("{of}/inlet")
}

/// The junction behind pumps side by side.
pub fn outlet(of: &str) -> String {
    format!("{of}/outlet")
}

/// What is left of a run behind pumps side by side.
pub fn behind(of: &str) -> String {
    format!("{of}/behind")
}

/// The change of bore ahead of a part.
pub fn ahead(of: &str) -> String {
    format!("{of}/ahead")
}

/// What a run passes where it meets a header or a tank.
pub fn joint(of: &str) -> String {
    format!("{of}/joint")
}

/// The tee at port `k` of a header.
pub fn port(of: &str, k: usize) -> String {
    format!("{of}/port_{k}")
}

/// The length of a header from port `k` to the next.
pub fn between(of: &str, k: usize) -> String {
    format!("{of}/port_{k}_{}", k + 1)
}

/// The shut end of a header: `start` or `end`.
pub fn shut(of: &str, which: &str) -> String {
    format!("{of}/{which}")
}

/// The name of what the file told of: that of the header of a tee.
pub fn of(name: &str) -> &str {
    name.split('/').next().unwrap_or_default()
}

/// The name of something made in plain words: `behind feed/pump`, `spreader, port 2`. A name without a slash is one of
/// the file and stands as it is.
pub fn plain(name: &str) -> String {
    let Some((of, what)) = name.rsplit_once('/') else { return name.to_owned() };
    let ports =
        what.strip_prefix("port_").map(|ports| ports.split_once('_').unwrap_or((ports, "")));
    match (what, ports) {
        ("behind", _) => format!("behind {of}"),
        ("ahead", _) => format!("ahead of {of}"),
        ("inlet" | "outlet", _) => format!("{what} of {of}"),
        ("start" | "end", _) => format!("{of}, {what}"),
        ("joint", _) => match of.rsplit_once('/') {
            Some((run, joined)) => format!("{run} at {joined}"),
            None => format!("at {of}"),
        },
        (_, Some((port, ""))) => format!("{of}, port {port}"),
        (_, Some((port, next))) => format!("{of}, port {port} to {next}"),
        _ => match what.strip_prefix("branch_") {
            Some(k) => format!("{of}/{k}"),
            None => name.to_owned(),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_made_has_plain_names() {
        for (name, said) in [
            (behind("feed/pump"), "behind feed/pump"),
            (ahead("feed/pump/2"), "ahead of feed/pump/2"),
            (inlet("feed/pump"), "inlet of feed/pump"),
            (outlet("feed/pump"), "outlet of feed/pump"),
            (joint("spreader"), "at spreader"),
            (joint("feed/spreader"), "feed at spreader"),
            (port("spreader", 2), "spreader, port 2"),
            (between("spreader", 2), "spreader, port 2 to 3"),
            (shut("spreader", "end"), "spreader, end"),
            (branch("feed/pump", 2), "feed/pump/2"),
            (unit("pump", 2), "pump/2"),
            (valve(&unit("pump", 2)), "pump/2/valve"),
            ("branch_2".to_owned(), "branch_2"),
        ] {
            assert_eq!(plain(&name), said);
        }
    }
}
