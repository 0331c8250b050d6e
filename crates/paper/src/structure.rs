//! What the parts of a paper are to somebody who does not see it: the tree of a tagged PDF (ISO 32000-1, 14.8).

use krilla::tagging::{ListNumbering, Node, TableHeaderScope, Tag, TagGroup, TagTree};
use std::num::NonZeroU16;

/// What a part is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Role {
    /// A paragraph.
    Paragraph,
    /// A heading of a level from 1, with its text.
    Heading(u8, String),
    /// A list.
    List,
    /// An item of a list.
    Item,
    /// The text of an item.
    ItemBody,
    /// A table.
    Table,
    /// A row of a table.
    Row,
    /// The head of a column.
    Head,
    /// A cell.
    Cell,
    /// A picture, with what it shows.
    Figure(String),
}

/// A part in the tree of a paper.
pub(crate) type PartId = usize;

#[derive(Debug)]
struct Part {
    role: Role,
    under: Option<PartId>,
}

/// The parts of a paper, in the order in which they were laid.
#[derive(Debug, Default)]
pub(crate) struct Structure {
    parts: Vec<Part>,
    open: Vec<PartId>,
}

impl Structure {
    /// A part begins: what is laid until it ends belongs to it.
    pub(crate) fn open(&mut self, role: Role) -> PartId {
        self.parts.push(Part { role, under: self.open.last().copied() });
        self.open.push(self.parts.len() - 1);
        self.parts.len() - 1
    }

    /// The part that began last ends.
    pub(crate) fn close(&mut self) {
        self.open.pop();
    }

    /// A part that ended goes on: a table on the next page.
    pub(crate) fn reopen(&mut self, part: PartId) {
        self.open.push(part);
    }

    /// The part that letters laid now belong to.
    pub(crate) fn here(&self) -> Option<PartId> {
        self.open.last().copied()
    }

    pub(crate) fn role(&self, part: PartId) -> Option<&Role> {
        self.parts.get(part).map(|p| &p.role)
    }

    /// The tree of what was drawn: `drawn` are the identifiers of drawn content with the part that each belongs to, in reading order.
    /// Parts of which nothing was drawn are not in it; children stand in the order in which they were drawn first.
    pub(crate) fn tree(&self, drawn: Vec<(PartId, krilla::tagging::Identifier)>) -> TagTree {
        let mut first = vec![usize::MAX; self.parts.len()];
        for (at, (part, _)) in drawn.iter().enumerate() {
            let mut up = Some(*part);
            while let Some(p) = up.filter(|p| first[*p] == usize::MAX) {
                first[p] = at;
                up = self.parts[p].under;
            }
        }
        let mut leaves: Vec<Vec<krilla::tagging::Identifier>> = (0..self.parts.len()).map(|_| Vec::new()).collect();
        for (part, id) in drawn {
            leaves[part].push(id);
        }
        let mut children: Vec<Vec<PartId>> = vec![Vec::new(); self.parts.len()];
        let mut top: Vec<PartId> = Vec::new();
        for (id, part) in self.parts.iter().enumerate().filter(|(id, _)| first[*id] != usize::MAX) {
            part.under.map_or(&mut top, |under| &mut children[under]).push(id);
        }
        for of in children.iter_mut().chain([&mut top]) {
            of.sort_by_key(|c| first[*c]);
        }
        let mut tree = TagTree::new().with_lang(Some("en-US".to_owned()));
        for part in top {
            tree.push(self.group(part, &children, &mut leaves));
        }
        tree
    }

    fn group(&self, part: PartId, children: &[Vec<PartId>], leaves: &mut [Vec<krilla::tagging::Identifier>]) -> Node {
        let mut group = match &self.parts[part].role {
            Role::Paragraph => TagGroup::new(Tag::P),
            Role::Heading(level, text) => {
                let level = NonZeroU16::new(u16::from(*level)).unwrap_or(NonZeroU16::MIN);
                TagGroup::new(Tag::Hn(level, Some(text.clone())))
            }
            Role::List => TagGroup::new(Tag::L(ListNumbering::Disc)),
            Role::Item => TagGroup::new(Tag::LI),
            Role::ItemBody => TagGroup::new(Tag::LBody),
            Role::Table => TagGroup::new(Tag::Table),
            Role::Row => TagGroup::new(Tag::TR),
            Role::Head => TagGroup::new(Tag::TH(TableHeaderScope::Column)),
            Role::Cell => TagGroup::new(Tag::TD),
            Role::Figure(alt) => TagGroup::new(Tag::Figure(Some(alt.clone()))),
        };
        for leaf in std::mem::take(&mut leaves[part]) {
            group.push(leaf);
        }
        for child in &children[part] {
            group.push(self.group(*child, children, leaves));
        }
        group.into()
    }
}
