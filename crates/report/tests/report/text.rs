//! What a terminal shows, at three widths, in two unit systems.

use silkfall_core::quantity::System;
use silkfall_report::text::{Ink, TextOptions, explain, render};

use crate::fixture;

fn at(width: usize, system: System) -> TextOptions {
    TextOptions { width, system, ink: Ink::Plain }
}

#[test]
fn a_usual_terminal() {
    insta::assert_snapshot!(render(&fixture::document(), at(80, System::Si)));
}

#[test]
fn a_wide_terminal_draws_the_ranges() {
    insta::assert_snapshot!(render(&fixture::document(), at(120, System::Si)));
}

#[test]
fn a_narrow_terminal_in_feet() {
    insta::assert_snapshot!(render(&fixture::document(), at(60, System::Us)));
}

#[test]
fn nothing_passes_the_width_and_colour_changes_no_word() {
    for width in [60, 72, 80, 100, 120] {
        let plain = render(&fixture::document(), at(width, System::Si));
        for line in plain.lines() {
            assert!(line.chars().count() <= width, "{width}: {line}");
        }
        let inked = render(&fixture::document(), TextOptions { ink: Ink::Ansi, ..at(width, System::Si) });
        assert_ne!(inked, plain);
        let mut stripped = String::new();
        let mut rest = inked.as_str();
        while let Some((before, after)) = rest.split_once('\u{1b}') {
            stripped.push_str(before);
            rest = after.split_once('m').expect("every escape here ends in m").1;
        }
        stripped.push_str(rest);
        assert_eq!(stripped, plain);
    }
}

#[test]
fn how_on_a_terminal() {
    insta::assert_snapshot!(explain(&fixture::rate(), at(80, System::Us)));
}
