//! One part: its drag areas, what they make at full size, the candidates, the choice, the cases.

use silkfall_core::cases::Trials;
use silkfall_project::Project;
use silkfall_project::project::Part;

use super::PartWorked;
use super::drag::{Fitted, Set, fitted};
use super::notes::Notes;
use super::session::PlaceWorked;
use super::tests::TestWorked;
use crate::sheet::{Choice, DragSheet, Effort, PartSheet, Tally};
use crate::watch::{Stopped, Watch, go_on};

/// Trials and seed of an effort.
pub(super) fn trials(effort: Effort) -> Trials {
    match effort {
        Effort::Quick => Trials::QUICK,
        Effort::Full => Trials::FULL,
    }
}

/// Works one part from its tests.
pub(super) fn work(
    part: &Part,
    project: &Project,
    site: &PlaceWorked,
    tests: &[&TestWorked],
    effort: Effort,
    watch: &dyn Watch,
) -> Result<PartWorked, Stopped> {
    go_on(watch)?;
    let name = &part.name.value;
    let mut notes = Notes::default();
    let sets = Sets::new(project, name, tests);
    let drag = sets.sheet();
    sets.all().for_each(|set| notes.merge(set.notes.clone()));
    let sheet = PartSheet {
        name: name.clone(),
        falls: None,
        tests: tests.iter().map(|test| test.sheet.clone()).collect(),
        drag,
        full_size: None,
        cases: Vec::new(),
        candidates: Vec::new(),
        choice: Choice::Nothing,
        tally: Tally::default(),
        rests_on: Vec::new(),
        doubts: Vec::new(),
        next: None,
    };
    Ok(PartWorked { sheet, notes })
}

/// What the tests say, by hardware: the model with the most tests, and the real thing.
pub(super) struct Sets {
    pub model: Option<(String, Fitted)>,
    pub real: Option<Fitted>,
}

impl Sets {
    fn new(project: &Project, part: &str, tests: &[&TestWorked]) -> Self {
        let path = format!("parts.{part}.drag");
        let of = |model: Option<&str>| -> Vec<&TestWorked> {
            tests
                .iter()
                .copied()
                .filter(|test| test.model.as_deref() == model && test.area.is_some())
                .collect()
        };
        let models = project.models.iter().map(|model| (model, of(Some(&model.name.value))));
        let most = models.filter(|(_, tests)| !tests.is_empty()).max_by_key(|(_, tests)| tests.len());
        let model = most.map(|(model, tests)| {
            let label = format!("part.{part}.model");
            let scale = model.scale.given().map(|scale| scale.text());
            let set = Set { tests, scale, path: &path, prefix: "", label: &label };
            (model.name.value.clone(), fitted(&set))
        });
        let real = of(None);
        let prefix = if model.is_some() { "real." } else { "" };
        let label = format!("part.{part}.real");
        let set = Set { tests: real, scale: None, path: &path, prefix, label: &label };
        let real = (!set.tests.is_empty()).then(|| fitted(&set));
        Sets { model, real }
    }

    fn all(&self) -> impl Iterator<Item = &Fitted> {
        self.model.iter().map(|(_, fitted)| fitted).chain(&self.real)
    }

    /// The set whose cluster factors and body carry over: the model's, else the real thing's.
    pub fn carrying(&self) -> Option<&silkfall_core::drag::Drag> {
        self.all().map(|fitted| &fitted.drag).next()
    }

    /// Both sets in one list.
    fn sheet(&self) -> Option<DragSheet> {
        self.all().map(|fitted| fitted.sheet.clone()).reduce(|mut all, more| {
            all.factors.extend(more.factors);
            all.not_told_apart.extend(more.not_told_apart);
            all.residuals.extend(more.residuals);
            all
        })
    }
}
