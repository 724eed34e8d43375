//! Sections linked by `after` to a row.

/// Why links make no row; positions are those in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tangle {
    /// This section's `after` names no section of its chain.
    Unknown(usize),
    /// This section and an earlier one come after the same section.
    Forked(usize),
    /// This section has no `after`, and an earlier one has none either.
    SecondStart(usize),
    /// Following the links from this section comes back to it.
    Loop(usize),
}

/// Puts sections in order. Without any `after` they stay as written; otherwise each but the first
/// must name the section that it follows.
pub(super) fn in_order(names: &[&str], after: &[Option<&str>]) -> Result<Vec<usize>, Tangle> {
    let n = names.len();
    if after.iter().all(Option::is_none) {
        return Ok((0..n).collect());
    }
    let mut follower: Vec<Option<usize>> = vec![None; n];
    let mut start = None;
    for (i, link) in after.iter().enumerate() {
        match link {
            None if start.is_some() => return Err(Tangle::SecondStart(i)),
            None => start = Some(i),
            Some(name) => {
                let before = names
                    .iter()
                    .position(|other| other == name)
                    .ok_or(Tangle::Unknown(i))?;
                if follower[before].is_some() {
                    return Err(Tangle::Forked(i));
                }
                follower[before] = Some(i);
            }
        }
    }
    let mut order = Vec::new();
    let mut at = start;
    while let Some(i) = at {
        order.push(i);
        at = follower[i];
    }
    // Each section follows exactly one other; what the row from the start misses runs in a circle.
    match (0..n).find(|i| !order.contains(i)) {
        Some(i) => Err(Tangle::Loop(i)),
        None => Ok(order),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_make_a_row_or_say_why_not() {
        let names = ["a", "b", "c"];
        assert_eq!(in_order(&names, &[None, None, None]), Ok(vec![0, 1, 2]));
        assert_eq!(
            in_order(&names, &[Some("c"), None, Some("b")]),
            Ok(vec![1, 2, 0])
        );
        let refused = |links: [Option<&str>; 3]| in_order(&names, &links).unwrap_err();
        assert_eq!(refused([Some("b"), Some("c"), Some("a")]), Tangle::Loop(0));
        assert_eq!(refused([None, Some("c"), Some("b")]), Tangle::Loop(1));
        assert_eq!(refused([Some("a"), None, Some("b")]), Tangle::Loop(0));
        assert_eq!(refused([None, Some("a"), Some("a")]), Tangle::Forked(2));
        assert_eq!(refused([None, Some("x"), Some("b")]), Tangle::Unknown(1));
        assert_eq!(refused([None, Some("a"), None]), Tangle::SecondStart(2));
    }
}
