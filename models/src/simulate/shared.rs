//! What follows from the structure of a model and not from its numbers.

use std::sync::{Arc, OnceLock};

use coolwright_solver::sparse::{Sparse, SparseError};

use super::{Layout, Simulator};
use crate::fluids::{Base, Coolant};
use crate::model::Model;
use crate::parts::CORE_CELLS;
use crate::results::Catalogue;

/// What all that solve a model share: made when it is first asked for, and kept. From then on the structure
/// of the model must stay as it is.
#[derive(Debug, Default)]
pub struct Shared {
    layout: OnceLock<Arc<Layout>>,
    catalogue: OnceLock<Arc<Catalogue>>,
    /// A matrix of the Jacobian's pattern, ordered, with no numbers.
    matrix: OnceLock<Result<Sparse, SparseError>>,
    /// The mixtures of the numbers that the model was first solved with, by base and bits of the share. Their
    /// tables are dear to make, and few studies change a share.
    liquids: OnceLock<Vec<((Base, u64), Coolant)>>,
}

impl Model {
    /// Where its states stand.
    pub(super) fn layout(&self) -> Arc<Layout> {
        self.shared.layout.get_or_init(|| Arc::new(Layout::of(self, CORE_CELLS))).clone()
    }

    /// What its results are, where that has been made.
    pub fn known_catalogue(&self) -> Option<Arc<Catalogue>> {
        self.shared.catalogue.get().cloned()
    }

    /// A liquid that has been made before.
    pub(super) fn known_liquid(&self, made_for: (Base, u64)) -> Option<Coolant> {
        let known = self.shared.liquids.get()?.iter().find(|(of, _)| *of == made_for);
        known.map(|(_, coolant)| coolant.clone())
    }

    /// Keeps the liquids that are made first.
    pub(super) fn keep_liquids(&self, made: impl Iterator<Item = ((Base, u64), Coolant)>) {
        self.shared.liquids.get_or_init(|| made.collect());
    }
}

impl Simulator<'_> {
    /// What the results of the model are.
    pub fn catalogue(&self) -> &Arc<Catalogue> {
        self.setup.model.shared.catalogue.get_or_init(|| Arc::new(Catalogue::of(self)))
    }

    pub(super) fn blank_matrix(&self) -> Result<Sparse, SparseError> {
        let Layout { states, pattern, .. } = &*self.setup.layout;
        self.setup.model.shared.matrix.get_or_init(|| Sparse::new(*states, pattern)).clone()
    }
}
