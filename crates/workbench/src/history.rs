//! Steps that can be taken back and taken again.

/// States one after another, one of them the present.
#[derive(Debug)]
pub(crate) struct History<T> {
    /// Each with the words of the step that led to it.
    steps: Vec<(T, String)>,
    present: usize,
}

impl<T> History<T> {
    /// A beginning.
    pub(crate) fn new(first: T) -> Self {
        Self { steps: vec![(first, String::new())], present: 0 }
    }

    /// The present state.
    pub(crate) fn now(&self) -> &T {
        &self.steps[self.present].0
    }

    /// A step onwards; those that were taken back are forgotten.
    pub(crate) fn push(&mut self, state: T, words: String) {
        self.steps.truncate(self.present + 1);
        self.steps.push((state, words));
        self.present += 1;
    }

    /// What would be taken back.
    pub(crate) fn undo_words(&self) -> Option<&str> {
        self.before().map(|(_, words)| words)
    }

    /// What would be taken again.
    pub(crate) fn redo_words(&self) -> Option<&str> {
        self.after().map(|(_, words)| words)
    }

    /// The state that a step back leads to, and the words of the step that is taken back.
    pub(crate) fn before(&self) -> Option<(&T, &str)> {
        let (state, _) = self.steps.get(self.present.checked_sub(1)?)?;
        Some((state, &self.steps[self.present].1))
    }

    /// The state that a step onwards again leads to, and the words of that step.
    pub(crate) fn after(&self) -> Option<(&T, &str)> {
        self.steps.get(self.present + 1).map(|(state, words)| (state, words.as_str()))
    }

    /// A step back; whether there was one.
    pub(crate) fn undo(&mut self) -> bool {
        let is_there = self.present > 0;
        self.present -= usize::from(is_there);
        is_there
    }

    /// A step onwards again; whether there was one.
    pub(crate) fn redo(&mut self) -> bool {
        let is_there = self.present + 1 < self.steps.len();
        self.present += usize::from(is_there);
        is_there
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_step_forgets_what_was_taken_back() {
        let mut steps = History::new('a');
        assert!(!steps.undo() && !steps.redo());
        steps.push('b', "to b".into());
        steps.push('c', "to c".into());
        assert!(steps.undo());
        assert_eq!(
            (*steps.now(), steps.undo_words(), steps.redo_words()),
            ('b', Some("to b"), Some("to c"))
        );
        steps.push('d', "to d".into());
        assert!(!steps.redo() && steps.undo() && steps.undo() && !steps.undo());
        assert_eq!(*steps.now(), 'a');
        assert!(steps.redo() && steps.redo() && !steps.redo());
        assert_eq!(*steps.now(), 'd');
    }
}
