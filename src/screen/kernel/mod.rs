//! Compare and pack: one load of tone, one of threshold, one bit out.
//!
//! [`scalar`] is the law; anything faster must equal it over every length and value.

pub(crate) mod scalar;
