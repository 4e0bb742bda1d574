//! Work that may be shared out: the library starts no threads, whoever calls it may.

use std::sync::Mutex;

/// Who does many jobs that depend on nothing but their number.
pub trait Workers: Sync {
    /// Does every job from 0 to `count`, in any order, on any thread, and returns when all are done.
    fn each(&self, count: usize, job: &(dyn Fn(usize) + Sync));

    /// Hears how far work has come that is not many jobs, from 0 to 1. Nobody needs to listen.
    fn hears(&self, _share: f64) {}
}

/// Does one job after the other where it is called.
#[derive(Clone, Copy, Debug)]
pub struct Alone;

impl Workers for Alone {
    fn each(&self, count: usize, job: &(dyn Fn(usize) + Sync)) {
        (0..count).for_each(job);
    }
}

/// The results of jobs, in the order of their numbers.
pub fn map<T: Send>(
    workers: &dyn Workers,
    count: usize,
    job: impl Fn(usize) -> T + Sync,
) -> Vec<T> {
    let places: Vec<Mutex<Option<T>>> = (0..count).map(|_| Mutex::new(None)).collect();
    workers.each(count, &|k| {
        let done = job(k);
        if let Ok(mut place) = places[k].lock() {
            *place = Some(done);
        }
    });
    places.into_iter().filter_map(|place| place.into_inner().ok().flatten()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Does the last job first.
    struct Backwards;

    impl Workers for Backwards {
        fn each(&self, count: usize, job: &(dyn Fn(usize) + Sync)) {
            (0..count).rev().for_each(job);
        }
    }

    #[test]
    fn results_stand_in_order_whoever_works() {
        let squares = [0, 1, 4, 9, 16];
        assert_eq!(map(&Alone, 5, |k| k * k), squares);
        assert_eq!(map(&Backwards, 5, |k| k * k), squares);
    }
}
