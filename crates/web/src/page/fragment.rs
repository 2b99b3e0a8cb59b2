//! Pieces of the page, each swapped as a whole, and which of them are to be swapped.

use std::borrow::Cow;
use std::collections::BTreeMap;

use maud::{Markup, PreEscaped, html};

/// A piece of the page: the id of its element, and the element.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Fragment {
    pub(crate) id: String,
    held: Held,
}

#[derive(Clone, Debug, PartialEq)]
enum Held {
    /// The element.
    Html(String),
    /// Pieces that are swapped one by one, in an element of these classes.
    Pieces(&'static str, Vec<Fragment>),
}

impl Fragment {
    /// An element that is swapped as a whole; `markup` gives it that id.
    pub(crate) fn new(id: impl Into<String>, markup: Markup) -> Self {
        Fragment { id: id.into(), held: Held::Html(markup.into_string()) }
    }

    /// An element of which each piece is swapped alone as long as it has the same pieces.
    pub(crate) fn of(id: impl Into<String>, classes: &'static str, pieces: Vec<Fragment>) -> Self {
        Fragment { id: id.into(), held: Held::Pieces(classes, pieces) }
    }

    /// The element with all in it.
    pub(crate) fn html(&self) -> Cow<'_, str> {
        match &self.held {
            Held::Html(html) => Cow::Borrowed(html),
            Held::Pieces(classes, pieces) => Cow::Owned(
                html! { div class=(classes) id=(self.id) { @for piece in pieces { (PreEscaped(piece.html())) } } }
                    .into_string(),
            ),
        }
    }

    fn pieces(&self) -> &[Fragment] {
        match &self.held {
            Held::Html(_) => &[],
            Held::Pieces(_, pieces) => pieces,
        }
    }

    /// Whether it is the same but for what its pieces hold.
    fn is_same(&self, other: &Fragment) -> bool {
        match (&self.held, &other.held) {
            (Held::Html(one), Held::Html(another)) => one == another,
            (Held::Pieces(_, some), Held::Pieces(_, others)) => {
                some.iter().map(|piece| &piece.id).eq(others.iter().map(|piece| &piece.id))
            }
            (Held::Html(_), Held::Pieces(..)) | (Held::Pieces(..), Held::Html(_)) => false,
        }
    }

    /// The largest pieces of it that are wanted; what has none of its own is asked for by itself.
    pub(crate) fn wanted<'a>(
        &'a self,
        is_wanted: &dyn Fn(&'a Fragment) -> bool,
        found: &mut Vec<&'a Fragment>,
    ) {
        if is_wanted(self) {
            found.push(self);
        } else {
            self.pieces().iter().for_each(|piece| piece.wanted(is_wanted, found));
        }
    }
}

/// Fragments with all their pieces, by id.
pub(crate) fn by_id<'a>(all: impl Iterator<Item = &'a Fragment>) -> BTreeMap<&'a str, &'a Fragment> {
    fn put<'a>(fragment: &'a Fragment, into: &mut BTreeMap<&'a str, &'a Fragment>) {
        into.insert(&fragment.id, fragment);
        fragment.pieces().iter().for_each(|piece| put(piece, into));
    }
    let mut found = BTreeMap::new();
    all.for_each(|fragment| put(fragment, &mut found));
    found
}

/// Whether it, or what its pieces are, is other than it was.
pub(crate) fn differs(fragment: &Fragment, old: &BTreeMap<&str, &Fragment>) -> bool {
    !old.get(fragment.id.as_str()).is_some_and(|old| old.is_same(fragment))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leaf(id: &str, text: &str) -> Fragment {
        Fragment::new(id, html! { p id=(id) { (text) } })
    }

    fn body(pieces: Vec<Fragment>) -> Fragment {
        Fragment::of("body", "figure body", pieces)
    }

    fn changed(new: &Fragment, old: &Fragment) -> Vec<String> {
        let old = by_id(std::iter::once(old));
        let mut found = Vec::new();
        new.wanted(&|fragment| differs(fragment, &old), &mut found);
        found.into_iter().map(|fragment| fragment.id.clone()).collect()
    }

    #[test]
    fn a_piece_is_swapped_alone_while_the_pieces_are_the_same() {
        let old = body(vec![leaf("a", "1"), leaf("b", "2")]);
        assert_eq!(old.html(), r#"<div class="figure body" id="body"><p id="a">1</p><p id="b">2</p></div>"#);
        assert_eq!(changed(&old.clone(), &old), Vec::<String>::new());
        assert_eq!(changed(&body(vec![leaf("a", "1"), leaf("b", "3")]), &old), ["b"]);
        assert_eq!(changed(&body(vec![leaf("a", "1")]), &old), ["body"], "one less");
        assert_eq!(changed(&body(vec![leaf("b", "2"), leaf("a", "1")]), &old), ["body"], "another order");
        assert_eq!(changed(&leaf("body", "1"), &old), ["body"]);
    }
}
