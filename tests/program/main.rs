//! The program as a builder meets it: its answers, its messages, its exit status.

#[path = "../common/mod.rs"]
mod common;

mod between;
mod cautions;
mod chance;
mod changed;
mod charge_air;
mod charge_picture;
mod cli;
mod damage;
mod day;
mod demos;
mod extents;
mod failures;
mod faults;
mod findings;
mod getting;
mod grid;
mod guide;
mod hidden;
mod hostile;
mod lanes;
mod lasting;
mod learn;
mod levers;
mod lists;
mod live;
mod log;
mod machine;
mod no_balance;
mod of_variants;
mod one_loop;
mod order;
mod page;
mod parquet_rows;
mod readme;
mod scale;
mod sheets;
mod size;
mod survey;
mod units;
mod verdicts;
mod why;
mod words;
mod workbooks;
