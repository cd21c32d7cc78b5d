//! Regular English plurals.

/// The plural of `noun` by the rules of spelling: `peel` -> `peels`, `leaf` stays irregular, `berry` -> `berries`.
pub(super) fn plural(noun: &str) -> String {
    let stem = |cut: usize| &noun[..noun.len() - cut];
    let ends = |tail: &str| noun.ends_with(tail);
    let vowel_before_y = ["ay", "ey", "oy", "uy"].into_iter().any(ends);
    if ends("y") && !vowel_before_y {
        format!("{}ies", stem(1))
    } else if ["s", "x", "z", "ch", "sh"].into_iter().any(ends) {
        format!("{noun}es")
    } else {
        format!("{noun}s")
    }
}
