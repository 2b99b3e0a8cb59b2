//! Lines that differ between two texts.

/// Where a line stands that stands in one text only.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mark {
    /// In the old one.
    Gone,
    /// In the new one.
    New,
}

/// More lines than this between the first and the last difference are not matched one by one.
const MOST: usize = 3_000;

/// The lines that stand in one of the texts only, in their order: by a longest common subsequence between what both
/// begin with and what both end with.
pub(crate) fn differences<'a>(old: &'a str, new: &'a str) -> Vec<(Mark, &'a str)> {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let begin = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let most = old.len().min(new.len()) - begin;
    let end = old.iter().rev().zip(new.iter().rev()).take(most).take_while(|(a, b)| a == b).count();
    let (old, new) = (&old[begin..old.len() - end], &new[begin..new.len() - end]);
    if old.len().max(new.len()) > MOST {
        let gone = old.iter().map(|line| (Mark::Gone, *line));
        return gone.chain(new.iter().map(|line| (Mark::New, *line))).collect();
    }
    // Length of the longest common subsequence of what follows each pair of lines.
    let width = new.len() + 1;
    let mut longest = vec![0u16; (old.len() + 1) * width];
    for i in (0..old.len()).rev() {
        for j in (0..new.len()).rev() {
            longest[i * width + j] = if old[i] == new[j] {
                longest[(i + 1) * width + j + 1] + 1
            } else {
                longest[(i + 1) * width + j].max(longest[i * width + j + 1])
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut found = Vec::new();
    while i < old.len() || j < new.len() {
        if i < old.len() && j < new.len() && old[i] == new[j] {
            (i, j) = (i + 1, j + 1);
        } else if j == new.len()
            || (i < old.len() && longest[(i + 1) * width + j] >= longest[i * width + j + 1])
        {
            found.push((Mark::Gone, old[i]));
            i += 1;
        } else {
            found.push((Mark::New, new[j]));
            j += 1;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_differs_is_told() {
        let found = differences("a\nb\nc\nd\n", "a\nB\nc\nd\ne\n");
        assert_eq!(found, [(Mark::Gone, "b"), (Mark::New, "B"), (Mark::New, "e")]);
        assert_eq!(differences("a\n", "a\n"), []);
        assert_eq!(differences("", "x"), [(Mark::New, "x")]);
        let many: String = (0..4_000).map(|n| format!("{n}\n")).collect();
        assert_eq!(differences(&many, "").len(), 4_000);
    }
}
