//! Where to begin looking for coverages, for plates that share a lattice.
//!
//! There the print bends wherever two plates change places, and a search that begins with all of them alike begins on all bends at once
//! and gets nowhere: white, five colours and black on one lattice seemed to print a grey and nothing else. So a cloud of coverages, solids
//! and what lies between, is printed once, and a search begins at the one whose colour is nearest. Plates that are independent have no
//! bends and need none.

use crate::colour::overlap::{MAX_PLATES, Relation};
use crate::colour::print::Print;
use crate::colour::separate::nearest::{Coverages, Wanted};
use crate::colour::spaces::Lab;

/// Coverages in the cloud besides solids.
const BETWEEN: usize = 512;

/// Coverages and what they print.
#[derive(Debug)]
pub(super) struct Starts(Vec<(Coverages, Lab)>);

impl Starts {
    pub(super) fn new(print: &Print) -> Self {
        let shared = |group: &Relation| group.plates().nth(1).is_some();
        if !print.overlap().groups().iter().any(shared) {
            return Self(Vec::new());
        }
        let plates = print.inks();
        let solids = (0..1_usize << plates.min(8)).map(|mask| {
            std::array::from_fn(|plate| f64::from(u8::from(plate < plates && mask >> plate & 1 == 1)))
        });
        // Evenly spread: multiples of the powers of the root of x^(n + 1) = x + 1 (M. Roberts, 2018, from memory), which are all unlike.
        let root = (0..30).fold(1.5_f64, |x, _| libm::pow(1.0 + x, 1.0 / (plates as f64 + 1.0)));
        let spread = (1..=BETWEEN).map(|i| {
            let mut step = 1.0;
            let mut coverages: Coverages = [0.0; MAX_PLATES];
            for c in &mut coverages[..plates] {
                step /= root;
                *c = (0.5 + step * i as f64) % 1.0;
            }
            coverages
        });
        Self(solids.chain(spread).map(|c: Coverages| (c, print.colour(&c[..plates]))).collect())
    }

    /// The coverages of the cloud whose print is nearest; none where no cloud is needed.
    pub(super) fn nearest(&self, wanted: &Wanted) -> Option<Coverages> {
        let off = |colour: Lab| wanted.apart(colour).iter().map(|part| part * part).sum::<f64>();
        let nearest = self.0.iter().min_by(|one, other| off(one.1).total_cmp(&off(other.1)))?;
        Some(nearest.0)
    }
}
