//! A template, its data and its pictures made into a PDF. The typesetter's world is closed: the templates, the fonts
//! and the files handed in; it can read nothing else.

use draw::Drawing;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::LazyLock;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

/// IBM Plex Sans and Sans Condensed (`fonts/LICENSE-IBM-Plex.txt`); DejaVu Sans Condensed (`fonts/LICENSE-DejaVu.txt`) for what they lack:
/// the sign of a diameter, arrows.
static FONTS: LazyLock<Vec<Font>> = LazyLock::new(|| {
    let files: [&'static [u8]; 6] = [
        include_bytes!("../fonts/IBMPlexSans-Regular.ttf"),
        include_bytes!("../fonts/IBMPlexSans-SemiBold.ttf"),
        include_bytes!("../fonts/IBMPlexSansCondensed-Regular.ttf"),
        include_bytes!("../fonts/IBMPlexSansCondensed-SemiBold.ttf"),
        include_bytes!("../fonts/DejaVuSansCondensed.ttf"),
        include_bytes!("../fonts/DejaVuSansCondensed-Bold.ttf"),
    ];
    files.into_iter().flat_map(|data| Font::iter(Bytes::new(data))).collect()
});
static BOOK: LazyLock<LazyHash<FontBook>> = LazyLock::new(|| LazyHash::new(FontBook::from_fonts(FONTS.iter())));
static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));

/// A paper could not be set. This is a defect of the program, not of the survey: the message is for its makers.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the paper “{paper}” could not be set: {message}. The plan itself is not affected; the JSON and the drawings hold the same.")]
pub struct ReportError {
    /// Which paper.
    pub paper: &'static str,
    /// What the typesetter said.
    pub message: String,
}

/// The pictures of a paper: each gets a path by which the template asks for it.
#[derive(Default)]
pub(crate) struct Pictures {
    files: BTreeMap<String, String>,
}

impl Pictures {
    /// Every drawing as it was added.
    #[cfg(test)]
    pub fn all(&self) -> impl Iterator<Item = &str> {
        self.files.values().map(String::as_str)
    }

    /// Adds a drawing; returns what the template needs to place it.
    pub fn add(&mut self, drawing: Drawing, alt: &str) -> Value {
        let path = format!("/picture-{}.svg", self.files.len() + 1);
        self.files.insert(path.clone(), drawing.svg);
        json!({ "path": path, "width_mm": drawing.width_mm, "height_mm": drawing.height_mm, "alt": alt })
    }
}

impl Pictures {
    /// The drawings themselves.
    pub fn drawings(&self) -> impl Iterator<Item = &String> {
        self.files.values()
    }
}

/// Sets a template with its data.
pub(crate) fn pdf(paper: &'static str, template: &str, data: &Value, pictures: Pictures) -> Result<Vec<u8>, ReportError> {
    let document = pages(paper, template, data, pictures)?;
    let set = typst_pdf::pdf(&document, &PdfOptions::default());
    set.map(without_suspects).map_err(|errors| refused(paper, errors.iter().map(|e| e.message.to_string())))
}

/// The typesetter writes `/Suspects false`, which is what it means where it is left out (ISO 32000-1, table 321, from memory); poppler
/// takes the word itself for an error. It is blanked, so that every offset in the file stays as it is.
fn without_suspects(mut pdf: Vec<u8>) -> Vec<u8> {
    const WORDS: &[u8] = b"/Suspects false";
    if let Some(at) = pdf.windows(WORDS.len()).rposition(|w| w == WORDS) {
        pdf[at..at + WORDS.len()].fill(b' ');
    }
    pdf
}

/// The pages of a template with its data.
pub(crate) fn pages(paper: &'static str, template: &str, data: &Value, pictures: Pictures) -> Result<PagedDocument, ReportError> {
    let mut files = pictures.files;
    files.insert("/main.typ".to_owned(), template.to_owned());
    files.insert("/common.typ".to_owned(), include_str!("../templates/common.typ").to_owned());
    files.insert("/data.json".to_owned(), data.to_string());
    let set = typst::compile::<PagedDocument>(&ClosedWorld { files }).output;
    // What was remembered between runs is of no use to the next job.
    typst::comemo::evict(2);
    set.map_err(|errors| refused(paper, errors.iter().map(|e| e.message.to_string())))
}

fn refused(paper: &'static str, messages: impl Iterator<Item = String>) -> ReportError {
    ReportError { paper, message: messages.collect::<Vec<_>>().join("; ") }
}

struct ClosedWorld {
    files: BTreeMap<String, String>,
}

impl ClosedWorld {
    fn text(&self, id: FileId) -> FileResult<&String> {
        let path = id.vpath().get_with_slash();
        self.files.get(path).ok_or_else(|| FileError::NotFound(path.into()))
    }
}

impl World for ClosedWorld {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }
    fn book(&self) -> &LazyHash<FontBook> {
        &BOOK
    }
    #[expect(clippy::expect_used, reason = "a constant path below the root cannot be refused")]
    fn main(&self) -> FileId {
        let path = VirtualPath::new("/main.typ").expect("a constant path");
        RootedPath::new(VirtualRoot::Project, path).intern()
    }
    fn source(&self, id: FileId) -> FileResult<Source> {
        Ok(Source::new(id, self.text(id)?.clone()))
    }
    fn file(&self, id: FileId) -> FileResult<Bytes> {
        Ok(Bytes::from_string(self.text(id)?.clone()))
    }
    fn font(&self, index: usize) -> Option<Font> {
        FONTS.get(index).cloned()
    }
    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
