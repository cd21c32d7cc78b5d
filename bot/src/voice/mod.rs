//! How the bot talks. All texts stand in one file a language, `language/en/replies.ftl`; numbers and dates are put into
//! the room's own units and zone here, once.

mod looks;
mod measure;
mod text;
mod when;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource};

pub(crate) use looks::as_it_looks;
pub(crate) use measure::plain;
pub use measure::{Measures, about_percent};
pub use text::Text;
pub(crate) use text::tame;
pub use when::Calendar;

/// The texts of one language.
pub struct Voice {
    bundle: FluentBundle<FluentResource>,
}

impl Voice {
    /// English.
    pub fn english() -> Self {
        Self::new(branbell_language::REPLIES)
    }

    /// A mistake in the file is a mistake of this program: the tests find it, and what can be read of it is used.
    fn new(source: &str) -> Self {
        let resource = FluentResource::try_new(text::mark(source));
        debug_assert!(
            resource.is_ok(),
            "the texts do not parse: {:?}",
            resource.as_ref().err().map(|(_, errors)| errors)
        );
        let mut bundle = FluentBundle::new_concurrent(vec![unic_langid::langid!("en")]);
        // The marks around placed words are meant for mixed scripts; they show as boxes in some terminals.
        bundle.set_use_isolating(false);
        let doubled = bundle.add_resource(resource.unwrap_or_else(|(readable, _)| readable));
        debug_assert!(doubled.is_ok(), "a text stands twice: {doubled:?}");
        Self { bundle }
    }

    /// A text with its words filled in.
    pub fn say(&self, id: &str, args: &FluentArgs<'_>) -> Text {
        let pattern = self.bundle.get_message(id).and_then(|message| message.value());
        debug_assert!(pattern.is_some(), "there is no text `{id}`");
        let Some(pattern) = pattern else { return Text::default() };
        let mut errors = Vec::new();
        let said = self.bundle.format_pattern(pattern, Some(args), &mut errors).into_owned();
        debug_assert!(errors.is_empty(), "the text `{id}` lacks a word: {errors:?}");
        Text::marked(said)
    }

    /// A text with its words filled in, where there is one of that name.
    pub fn find(&self, id: &str, args: &FluentArgs<'_>) -> Option<Text> {
        self.bundle.has_message(id).then(|| self.say(id, args))
    }

    /// A short word or list of words, plain.
    pub fn word(&self, id: &str) -> String {
        self.say(id, &FluentArgs::new()).plain()
    }
}

/// Fills a text in: `say!(voice, "kept", amount = litres, bin = name)`.
#[macro_export]
macro_rules! say {
    ($voice:expr, $id:expr $(, $name:ident = $value:expr)* $(,)?) => {{
        #[allow(unused_mut, reason = "a text without words to fill in")]
        let mut args = fluent_bundle::FluentArgs::new();
        $(args.set(stringify!($name), $crate::voice::Word::from($value));)*
        $voice.say($id, &args)
    }};
}

/// A word that is put into a text: whatever people named things, it can neither mark up nor break the text around it.
pub struct Word(fluent_bundle::FluentValue<'static>);

impl From<Word> for fluent_bundle::FluentValue<'static> {
    fn from(word: Word) -> Self {
        word.0
    }
}

impl From<&str> for Word {
    fn from(word: &str) -> Self {
        Self(text::tame(word).into())
    }
}

impl From<String> for Word {
    fn from(word: String) -> Self {
        Self::from(word.as_str())
    }
}

impl From<&String> for Word {
    fn from(word: &String) -> Self {
        Self::from(word.as_str())
    }
}

impl From<Text> for Word {
    fn from(text: Text) -> Self {
        Self(text.not_strong().into())
    }
}

impl From<i64> for Word {
    fn from(count: i64) -> Self {
        Self(count.into())
    }
}

impl From<usize> for Word {
    fn from(count: usize) -> Self {
        Self(count.into())
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::path::Path;

    /// All string literals in the sources that look like the name of a text: `put-off`.
    fn named_in_the_sources(folder: &Path, names: &mut BTreeSet<String>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                named_in_the_sources(&path, names);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let source = std::fs::read_to_string(path).unwrap();
                let is_name = |literal: &&str| {
                    literal.starts_with(|c: char| c.is_ascii_lowercase() || c == '-')
                        && literal.len() > 1
                        && literal.chars().all(|c| c.is_ascii_lowercase() || c == '-')
                };
                names.extend(source.split('"').filter(is_name).map(str::to_owned));
            }
        }
    }

    #[test]
    fn every_text_is_said_somewhere() {
        let sources = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        let (mut named, mut said) = (BTreeSet::new(), BTreeSet::new());
        named_in_the_sources(&sources, &mut named);
        named_in_the_sources(&sources.join("dialogue"), &mut said);
        let texts: BTreeSet<&str> = branbell_language::REPLIES
            .lines()
            .filter(|line| !line.starts_with([' ', '#']))
            .filter_map(|line| line.split_once(" =").map(|(id, _)| id))
            .collect();
        // `kept-level` and `changed-level` are put together from `kept` and `changed`, `why-…` from a formula's name.
        let composed = |id: &str| id.ends_with("-level") || id.starts_with("why-") || id.ends_with("-words");
        // Others say it within themselves.
        let is_part = |id: &str| branbell_language::REPLIES.contains(&format!("{{ {id} }}"));
        let is_said = |id: &str| named.contains(id) || composed(id) || is_part(id);
        let unsaid: Vec<_> = texts.iter().filter(|id| !is_said(id)).collect();
        assert!(unsaid.is_empty(), "texts that nothing says: {unsaid:?}");
        let unknown: Vec<_> =
            said.iter().filter(|id| id.contains('-') && *id != "-level" && *id != "why-").collect();
        let unknown: Vec<_> = unknown.into_iter().filter(|id| !texts.contains(id.as_str())).collect();
        assert!(unknown.is_empty(), "names without a text: {unknown:?}");
    }
}
