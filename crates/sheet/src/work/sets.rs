//! The tests of a part by hardware, each kind fitted together.

use silkfall_core::drag::{self, Drag};
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_project::Project;
use silkfall_project::value::Quantity;

use super::drag::{Fitted, Set, fitted};
use super::notes::Notes;
use super::tests::TestWorked;
use crate::sheet::DragSheet;

/// What the tests say, by hardware: the model with the most tests, and the real thing.
#[derive(Clone, Debug)]
pub(crate) struct Sets {
    pub model: Option<(String, Fitted)>,
    pub real: Option<Fitted>,
    /// Models that are not carried to full size, with the number of their tests.
    unused: Vec<(String, usize)>,
}

impl Sets {
    pub fn new(project: &Project, part: &str, tests: &[&TestWorked]) -> Self {
        let path = format!("parts.{part}.drag");
        let of = |model: Option<&str>| -> Vec<&TestWorked> {
            tests
                .iter()
                .copied()
                .filter(|test| test.model.as_deref() == model && test.area.is_some())
                .collect()
        };
        let models = project.models.iter().map(|model| (model, of(Some(&model.name.value))));
        let mut models: Vec<_> = models.filter(|(_, tests)| !tests.is_empty()).collect();
        let most = (0..models.len()).max_by_key(|&at| models[at].1.len()).map(|at| models.remove(at));
        let unused = models.iter().map(|(model, tests)| (model.name.value.clone(), tests.len())).collect();
        let model = most.map(|(model, tests)| {
            let label = format!("part.{part}.model");
            let scale = model.scale.given().map(Quantity::text);
            let set = Set { tests, scale, path: &path, prefix: "", label: &label };
            (model.name.value.clone(), fitted(&set))
        });
        let real = of(None);
        let prefix = if model.is_some() { "real." } else { "" };
        let label = format!("part.{part}.real");
        let set = Set { tests: real, scale: None, path: &path, prefix, label: &label };
        let real = (!set.tests.is_empty()).then(|| fitted(&set));
        Sets { model, real, unused }
    }

    /// A model whose tests tell nothing of the real thing is a finding where it stands.
    pub fn say_unused(&self, notes: &mut Notes) {
        let Some((used, _)) = &self.model else { return };
        for (name, tests) in &self.unused {
            let of = if *tests == 1 { "test" } else { "tests" };
            let message = format!("{tests} {of} of {name} are not carried to full size; those of {used} are");
            notes.find(Finding::new(Code::DragModelNotUsed, Subject::Key(format!("model.{name}")), message));
        }
    }

    pub fn all(&self) -> impl Iterator<Item = &Fitted> {
        self.model.iter().map(|(_, fitted)| fitted).chain(&self.real)
    }

    /// The set whose cluster factors and body carry over: the model's, else the real thing's.
    pub fn carrying(&self) -> Option<&Drag> {
        self.all().map(|fitted| &fitted.drag).next()
    }

    /// What a measured factor rests on, in words.
    pub fn basis(&self, factor: &drag::Factor) -> String {
        match (&factor.trust, self.all().next()) {
            (silkfall_core::ledger::Trust::Measured, Some(set)) => set.basis.clone(),
            (other, _) => other.mark(),
        }
    }

    /// Both sets in one list.
    pub fn sheet(&self) -> Option<DragSheet> {
        self.all().map(|fitted| fitted.sheet.clone()).reduce(|mut all, more| {
            all.factors.extend(more.factors);
            all.not_told_apart.extend(more.not_told_apart);
            all.residuals.extend(more.residuals);
            all
        })
    }
}
