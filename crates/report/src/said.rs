//! What the papers say, without their look: for whoever reads all texts through, a test before all (`report/tests/voice.rs`).

use crate::typeset::Made;
use crate::{ContractView, Invoice, JobView, Paper, SupplementView, card, contract_page, invoice, quote_page, reasons, supplement_page};
use paper::{Bit, Seen};

/// The texts of a paper.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Said {
    /// What is set, each text whole.
    pub texts: Vec<String>,
    /// Its drawings, as SVG.
    pub drawings: Vec<String>,
    /// What stands on its pages, in the pieces in which it is set.
    pub printed: Vec<String>,
}

/// The bench card's.
pub fn bench_card(job: &JobView) -> Said {
    said(&card::made(job))
}

/// The reasons', not set: their pages are many, and what they say is whole before.
pub fn reasons(job: &JobView) -> Said {
    unset(&reasons::made(job))
}

/// The quote's.
pub fn quote(job: &JobView) -> Said {
    said(&quote_page::made(job, None))
}

/// The supplement's.
pub fn supplement(view: &SupplementView) -> Said {
    said(&supplement_page::made(view))
}

/// The invoice's.
pub fn invoice(invoice: &Invoice, paper: Paper) -> Said {
    said(&invoice::made(invoice, paper))
}

/// The district's report of a contract.
pub fn contract_report(view: &ContractView) -> Said {
    said(&contract_page::report(view))
}

/// The work list of a contract.
pub fn work_list(view: &ContractView) -> Said {
    said(&contract_page::work_list(view))
}

fn unset(made: &Made) -> Said {
    let mut said = Said { drawings: made.drawings(), ..Said::default() };
    let mut text = |words: &paper::Words| {
        for bit in &words.bits {
            if let Bit::Text(t, _) = bit {
                said.texts.push(t.replace('\u{a0}', " "));
            }
        }
    };
    made.each(&mut |block| block.each(&mut text, &mut |_| {}));
    said.texts.extend([made.about.kind.clone(), made.about.title.clone(), made.about.instrument.clone(), made.about.footer.clone()]);
    said
}

fn said(made: &Made) -> Said {
    let mut said = unset(made);
    for seen in made.set().seen().into_iter().flatten() {
        if let Seen::Letters { text, .. } = seen {
            said.printed.push(text);
        }
    }
    said
}
