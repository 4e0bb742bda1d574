//! Logs as loggers write them: whatever is wrong with single rows is counted, and only what is no table is refused.

use std::io::Read;

use coolwright_cases::stand::{Column, Head, LogFault, Table, Wanted, read};

fn wanted(columns: &[&str]) -> Wanted {
    let column = |name: &&str| Column {
        name: (*name).to_owned(),
        scale: [273.15, 1.0],
        possible: [213.15, 673.15],
        is_read: true,
    };
    Wanted { time: "t".to_owned(), to_seconds: 1.0, columns: columns.iter().map(column).collect() }
}

fn of(text: &str, columns: &[&str]) -> Result<Table, LogFault> {
    read(&mut text.as_bytes(), &wanted(columns))
}

fn close(what: &str, got: f64, want: f64) {
    assert!((got - want).abs() < 1e-9, "{what}: got {got}, want {want}");
}

/// Semicolons, decimal commas, a line above the names, units below them, Latin-1, Windows line ends.
#[test]
fn a_log_is_read_as_its_logger_writes_it() {
    let mut bytes = b"Logger 7\r\nt;T in;T out\r\ns;".to_vec();
    bytes.extend([0xb0, b'C', b';', 0xb0, b'C']);
    bytes.extend(b"\r\n10,0;20,5;30\r\n10,5;21,5;31\r\n11,0;22,5;\"32,25\"\r\n");
    let table = read(&mut &bytes[..], &wanted(&["T in", "T out"])).expect("a table");
    assert_eq!(table.times_s, [0.0, 0.5, 1.0]);
    close("first", table.columns[0][0], 293.65);
    close("last", table.columns[1][2], 305.4);
    assert_eq!(table.units, ["°C", "°C"]);
    let plain = of("t [s],a (°C),b\n0,20.5,x\n1,21,30\n", &["a"]).expect("a table");
    assert_eq!((plain.units[0].as_str(), &plain.unused[..]), ("°C", &["b".to_owned()][..]));
    let tabs = of("t\ta\n00:00:01\t20\n00:00:02.5\t21\n", &["a"]).expect("a table");
    close("clock", tabs.times_s[1], 1.5);
}

#[test]
fn what_is_wrong_with_rows_is_counted_and_nothing_is_dropped_silently() {
    let text = "t,a\n0,20\n1,OPEN\n2,\n3,9999\n3,22\n2.5,23\n4,24\nend,\n100,25\n5,26\n6,27\n";
    let table = of(text, &["a"]).expect("a table");
    let faults = &table.channels[0].faults;
    assert_eq!((faults.texts, faults.holes, faults.impossible), (1, 1, 1));
    assert_eq!(faults.text, Some(("OPEN".to_owned(), 3)));
    let clock = &table.clock;
    assert_eq!((clock.repeated, clock.backwards, clock.timeless), (1, 1, 1));
    // At 100 the clock was set forward or a gap is there; then it goes back for good.
    assert_eq!(clock.jumps.len(), 1, "{clock:?}");
    assert_eq!(table.gaps.len(), 1);
    let words = table.words().join("\n");
    for told in [
        "1 row with the stamp of the row before",
        "1 row out of order",
        "1 row without a time",
        "the clock jumps back",
        "`a` is empty in 1 row",
        "`a` has a text in 1 row, first `OPEN` in line 3",
        "`a` is far beyond anything possible in 1 row",
    ] {
        assert!(words.contains(told), "{told} is not in\n{words}");
    }
}

#[test]
fn what_is_no_log_is_refused_with_a_word_what_to_do() {
    for (text, told) in [
        ("", "the log is empty"),
        ("t,a\n", "no rows of numbers"),
        ("t,a\n1,20\n", "a single row"),
        ("time,a\n0,20\n1,21\n", "no line of the log has a column `t`"),
        ("t,b\n0,20\n1,21\n", "no column `a`"),
        ("t,a,a\n0,20,1\n1,21,2\n", "several columns `a`"),
        ("\u{1}\u{0}PK\u{3}", "no plain text"),
        ("t,a\nx,20\ny,21\n", "no rows of numbers"),
    ] {
        let fault = of(text, &["a"]).expect_err(text);
        assert!(fault.message.contains(told), "{text:?}: {fault:?}");
        assert!(!fault.help.is_empty());
    }
    let wide = [0xff, 0xfe, b't', 0, b',', 0, b'a', 0];
    let fault = read(&mut &wide[..], &wanted(&["a"])).expect_err("UTF-16");
    assert!(fault.message.contains("UTF-16"), "{fault:?}");
    let long = format!("t,a\n0,20\n1,{}\n", "9".repeat(3 << 20));
    let fault = of(&long, &["a"]).expect_err("a long line");
    assert!(fault.message.contains("a million signs") && fault.line == Some(3), "{fault:?}");
}

/// Makes rows as they are asked for: nothing of them is kept.
struct Endless {
    row: u64,
    rows: u64,
    text: Vec<u8>,
}

impl Read for Endless {
    fn read(&mut self, out: &mut [u8]) -> std::io::Result<usize> {
        while self.text.len() < out.len().min(4096) && self.row < self.rows {
            let warm = 20.0 + (self.row % 1000) as f64 / 100.0;
            self.text.extend(format!("{:.2},{warm:.2}\n", self.row as f64 / 50.0).into_bytes());
            self.row += 1;
        }
        let count = out.len().min(self.text.len());
        out[..count].copy_from_slice(&self.text[..count]);
        self.text.drain(..count);
        Ok(count)
    }
}

/// A million rows of 50 Hz become a table of some hundred thousand, whose means are those of the rows.
#[test]
fn a_long_log_is_streamed_in_bounded_memory() {
    let rows = 1_000_000;
    let mut source = Endless { row: 0, rows, text: b"t,a\n".to_vec() };
    let table = read(&mut source, &wanted(&["a"])).expect("a table");
    assert_eq!((table.rows, table.merged), (1_000_000, 4));
    assert!(table.times_s.len() <= 1 << 18, "{}", table.times_s.len());
    // Within a row of the table: its ends are means.
    let long = table.times_s[table.times_s.len() - 1];
    assert!((long - (rows - 4) as f64 / 50.0).abs() < 0.08, "{long}");
    let mean = table.columns[0].iter().sum::<f64>() / table.columns[0].len() as f64;
    assert!((mean - (273.15 + 24.995)).abs() < 1e-4, "{mean}");
}

#[test]
fn the_head_is_found_without_a_name() {
    let head = Head::look(&mut "made by x\nn1;n2 [kPa];n3\ns;;°C\n0,5;1;2\n1;2;3\n".as_bytes());
    let head = head.expect("a head");
    assert_eq!(head.names, ["n1", "n2", "n3"]);
    assert_eq!(head.units, ["s", "kPa", "°C"]);
    assert!(head.decimal(0) == Some(',') && head.separator == b';');
    let none = Head::look(&mut "nothing here\n".as_bytes()).expect_err("no table");
    assert!(none.message.contains("no table"), "{none:?}");
}

/// Thousands beside decimals, by hand: what a column cannot tell of itself the others tell.
#[test]
fn thousands_are_read_as_what_they_are() {
    let wide = |columns: &[&str]| {
        let mut wanted = wanted(columns);
        for column in &mut wanted.columns {
            (column.scale, column.possible) = ([0.0, 1.0], [-1e9, 1e9]);
        }
        wanted
    };
    let all = |text: &str, columns: &[&str]| {
        read(&mut text.as_bytes(), &wide(columns)).map(|table| table.columns)
    };
    // Decimal dots in one column, commas between thousands in the other.
    let dots = all("t;a;b\n0;20.5;149,744\n1;21.5;150,001\n2;22.5;999\n", &["a", "b"]);
    assert_eq!(dots.expect("a table"), [vec![20.5, 21.5, 22.5], vec![149_744.0, 150_001.0, 999.0]]);
    // A comma that parts columns is no decimal mark.
    let quoted = all("t,b\n0,\"149,744\"\n1,\"1,050,000\"\n", &["b"]);
    assert_eq!(quoted.expect("a table"), [vec![149_744.0, 1_050_000.0]]);
    // Three decimals, as the column itself tells.
    let three = all("t;b\n0;149,744\n1;0,500\n", &["b"]);
    assert_eq!(three.expect("a table"), [vec![149.744, 0.5]]);
    for (text, want) in
        [("1.234,5", 1234.5), ("12 345.6", 12345.6), ("12\u{a0}345", 12345.0), ("1'234", 1234.0)]
    {
        let found = all(&format!("t;b\n0;{text}\n1;{text}\n"), &["b"]).expect("a table");
        assert_eq!(found, [vec![want, want]], "{text}");
    }
    // Nothing says what it is, or two columns say two things, or a later row speaks against it.
    let long: String = (0..60_000).map(|k| format!("{k};20.5;149,744\n")).collect();
    for (text, line, told) in [
        ("t;b\n0;149,744\n1;150,001\n".to_owned(), 2, "it is 149.744 or 149744"),
        ("t;a;c;b\n0;1,5;1.5;7\n1;1,5;1.5;150,001\n".to_owned(), 3, "it is 150.001 or 150001"),
        (format!("t;a;b\n{long}60000;20.5;149,7\n"), 2, "`149,7` in line 60002"),
    ] {
        let fault = all(&text, &["b"]).expect_err("two readings");
        assert_eq!(fault.line, Some(line), "{fault:?}");
        assert!(fault.message.contains("the column `b`"), "{fault:?}");
        assert!(fault.message.contains(told), "{fault:?}");
    }
}

/// What separates columns may stand in a name, where that is quoted.
#[test]
fn a_quoted_name_may_hold_what_separates() {
    let text = "\"t\",\"T in, front\",\"a;b\"\n0,20,1\n1,21,2\n";
    let table = of(text, &["T in, front"]).expect("a table");
    close("second", table.columns[0][1], 294.15);
    assert_eq!(table.unused, ["a;b"]);
    let head = Head::look(&mut text.as_bytes()).expect("a head");
    assert_eq!((head.separator, head.names.len()), (b',', 3));
    let semicolons = "\"t\";\"T; front\"\n0;20,5\n1;21,5\n";
    let table = of(semicolons, &["T; front"]).expect("a table");
    close("second", table.columns[0][1], 294.65);
    // A sign of inches opens nothing.
    let inches = of("t;3/4\" in;a\n0;1;20\n1;1;21\n", &["a"]).expect("a table");
    close("second", inches.columns[0][1], 294.15);
}

/// A time of day: past midnight a day is added, and an hour twice a year is no gap.
#[test]
fn a_clock_past_midnight_or_set_by_an_hour_is_told_with_its_row() {
    let text = "t;a\n23:59:58;20\n23:59:59;21\n00:00:00;22\n00:00:01;23\n";
    let table = of(text, &["a"]).expect("a table");
    assert_eq!(table.times_s, [0.0, 1.0, 2.0, 3.0]);
    assert!(
        table
            .words()
            .iter()
            .any(|told| told == "at row 3 the clock goes past midnight: the next day")
    );
    let text = "t;a\n01:59:58;20\n01:59:59;21\n03:00:00;22\n03:00:01;23\n";
    let table = of(text, &["a"]).expect("a table");
    assert_eq!((&table.times_s[..], table.gaps.len()), (&[0.0, 1.0, 2.0, 3.0][..], 0));
    let words = table.words().join("\n");
    assert!(words.contains("at row 3 the clock goes forward by an hour"), "{words}");
}
