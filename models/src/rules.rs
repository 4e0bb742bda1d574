//! Rules: numbers that follow from others unless they are written themselves.
//!
//! A roughness is a number of its own; the radius of a bend that nobody gave is 1.5 bores. The lowering
//! of a case states such a rule once and takes the first value from it; whoever writes numbers later
//! does so through [`Rules::write`], so that what follows from them is never left behind.

use std::sync::Arc;

use crate::slots::{Slot, Values};

/// How a number follows from others.
pub type Law = Arc<dyn Fn(&Values) -> f64 + Send + Sync>;

/// How a count follows from numbers.
pub type CountLaw = Arc<dyn Fn(&Values) -> usize + Send + Sync>;

/// A number that follows from others.
#[derive(Clone)]
pub struct Rule {
    /// The slot it sets.
    pub sets: Slot,
    /// The slots it follows from.
    pub from: Vec<Slot>,
    /// Whether it tells how the model was filled or started: what changes while it runs does not
    /// change that.
    pub kept: bool,
    /// The number, SI.
    pub law: Law,
}

/// A count that the structure of the model was made for.
#[derive(Clone)]
struct Counted {
    law: CountLaw,
    built: usize,
}

/// All rules of a model.
#[derive(Clone, Default)]
pub struct Rules {
    /// Each behind those that set what it follows from.
    list: Vec<Rule>,
    counts: Vec<Counted>,
}

impl std::fmt::Debug for Rules {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let ties: Vec<_> = self.list.iter().map(|rule| (rule.sets, &rule.from)).collect();
        f.debug_struct("Rules").field("ties", &ties).finish_non_exhaustive()
    }
}

impl Rules {
    /// Adds a rule. Those that set what it follows from must have been added before.
    pub fn add(&mut self, rule: Rule) {
        self.list.push(rule);
    }

    /// Adds a count that the structure is made for, and returns it.
    pub fn count(&mut self, values: &Values, law: CountLaw) -> usize {
        let built = law(values);
        self.counts.push(Counted { law, built });
        built
    }

    /// The rules, each behind those that set what it follows from.
    pub fn list(&self) -> &[Rule] {
        &self.list
    }

    /// Whether a model made for these numbers would have the same structure.
    pub fn fits(&self, values: &Values) -> bool {
        self.counts.iter().all(|counted| (counted.law)(values) == counted.built)
    }

    /// Writes numbers, and sets what follows from them. What is written here follows from nothing any
    /// more. `running` leaves alone what tells how the model was filled and started.
    pub fn write(&self, values: &mut Values, writes: &[(Slot, f64)], running: bool) {
        values.begin_write();
        for &(slot, value) in writes {
            values.write(slot, value);
            values.mark(slot);
        }
        for rule in &self.list {
            let stays = values.is_written(rule.sets) || (running && rule.kept);
            if !stays && rule.from.iter().any(|&slot| values.is_changed(slot)) {
                values.set(rule.sets, (rule.law)(values));
                values.mark(rule.sets);
            }
        }
    }
}
