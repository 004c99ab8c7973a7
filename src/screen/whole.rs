//! Whole vectors: the two sums that lattices and bricks share.

/// Twice the area spanned by two whole vectors, with its sign.
pub(crate) fn cross(u: [i64; 2], v: [i64; 2]) -> i64 {
    u[0] * v[1] - u[1] * v[0]
}

/// g = gcd(a, b) ≥ 0 and (m, n) with m a + n b = g.
pub(crate) fn extended_gcd(a: i64, b: i64) -> (i64, i64, i64) {
    let (mut r, mut s, mut t) = ([a, b], [1, 0], [0, 1]);
    while r[1] != 0 {
        let q = r[0] / r[1];
        for pair in [&mut r, &mut s, &mut t] {
            *pair = [pair[1], pair[0] - q * pair[1]];
        }
    }
    let sign = if r[0] < 0 { -1 } else { 1 };
    (sign * r[0], sign * s[0], sign * t[0])
}
