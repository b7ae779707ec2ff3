//! Writes a source file anew with every change of a list built in, each behind a switch that is asked at run time.
//!
//! Read on standard input: one change a line, `number, file, genre, line, column, replacement` by tabs, places as
//! `cargo mutants --list --json` gives them. The files are changed where they stand, so let them be a copy. Printed: the numbers
//! that stand where nothing can be switched (in a constant, in a condition with `let`).
//!
//! Only text is put in, before and behind what is there, and what is put in is the source as it was: one change at a time is
//! switched on, so changes may stand inside each other. `/*<7*/ … /*>*/` marks the text of change 7 for who reads complaints
//! of the compiler.

use std::collections::{BTreeMap, HashMap};
use std::io::Read;
use std::ops::Range;
use std::{fs, io};

use syn::spanned::Spanned;
use syn::visit::{self, Visit};

/// Line and column.
type Begin = (usize, usize);

struct Change {
    number: usize,
    genre: String,
    replacement: String,
}

/// Text put in at a byte of the source. What is put in first at a place stands outermost.
#[derive(Default)]
struct Insertions {
    before: BTreeMap<usize, Vec<String>>,
    behind: BTreeMap<usize, Vec<String>>,
}

struct Switch<'a> {
    source: &'a str,
    /// By the line and column where they begin.
    changes: HashMap<Begin, Vec<Change>>,
    put: Insertions,
    done: Vec<usize>,
}

fn off(number: usize) -> String {
    format!("crate::mutant::off({number})")
}

/// Whether this condition binds something, as `a && let Some(b) = c` does: that is no value.
fn binds(expression: &syn::Expr) -> bool {
    match expression {
        syn::Expr::Let(_) => true,
        syn::Expr::Binary(binary) => binds(&binary.left) || binds(&binary.right),
        _ => false,
    }
}

fn place(span: proc_macro2::Span) -> Begin {
    (span.start().line, span.start().column + 1)
}

impl Switch<'_> {
    fn at(&mut self, span: proc_macro2::Span, genre: &str) -> Vec<Change> {
        let Some(all) = self.changes.get_mut(&place(span)) else {
            return Vec::new();
        };
        let these: Vec<Change> = all.extract_if(.., |change| change.genre == genre).collect();
        self.done.extend(these.iter().map(|change| change.number));
        these
    }

    fn wrap(&mut self, range: Range<usize>, before: String, behind: String) {
        self.put.before.entry(range.start).or_default().push(before);
        self.put.behind.entry(range.end).or_default().push(behind);
    }

    /// The expression as it is, or else as each change has it.
    fn choose(&mut self, range: Range<usize>, others: &[(usize, String)]) {
        let Some(((last, shown), first)) = others.split_last() else {
            return;
        };
        let all: Vec<String> = others.iter().map(|(number, _)| off(*number)).collect();
        let mut behind = String::from("}");
        for (number, text) in first {
            behind += &format!(" else if !{} {{/*<{number}*/{text}/*>*/}}", off(*number));
        }
        behind += &format!(" else {{/*<{last}*/{shown}/*>*/}})");
        self.wrap(range, format!("(if {} {{", all.join(" && ")), behind);
    }

    /// An expression whose operator changes, or goes.
    fn operator(&mut self, whole: Range<usize>, operator: proc_macro2::Span, genre: &str) {
        let changes = self.at(operator, genre);
        let sign = operator.byte_range();
        let (head, tail) = (
            &self.source[whole.start..sign.start],
            &self.source[sign.end..whole.end],
        );
        let others: Vec<(usize, String)> = changes
            .iter()
            .map(|change| (change.number, format!("{head}{}{tail}", change.replacement)))
            .collect();
        self.choose(whole, &others);
    }

    /// A function that answers at once.
    fn body(&mut self, block: &syn::Block) {
        let Some(first) = block.stmts.first() else {
            return;
        };
        let begin = first.span().byte_range().start;
        for Change {
            number,
            replacement,
            ..
        } in self.at(first.span(), "FnValue")
        {
            let text = format!(
                "if !{} {{/*<{number}*/return {replacement};/*>*/}} ",
                off(number)
            );
            self.put.before.entry(begin).or_default().push(text);
        }
    }
}

impl<'ast> Visit<'ast> for Switch<'_> {
    fn visit_item_const(&mut self, _: &'ast syn::ItemConst) {}
    fn visit_item_static(&mut self, _: &'ast syn::ItemStatic) {}
    fn visit_impl_item_const(&mut self, _: &'ast syn::ImplItemConst) {}
    fn visit_trait_item_const(&mut self, _: &'ast syn::TraitItemConst) {}
    fn visit_expr_const(&mut self, _: &'ast syn::ExprConst) {}
    fn visit_pat(&mut self, _: &'ast syn::Pat) {}
    fn visit_type(&mut self, _: &'ast syn::Type) {}
    fn visit_attribute(&mut self, _: &'ast syn::Attribute) {}

    fn visit_item_fn(&mut self, node: &'ast syn::ItemFn) {
        if node.sig.constness.is_none() {
            self.body(&node.block);
            visit::visit_item_fn(self, node);
        }
    }

    fn visit_impl_item_fn(&mut self, node: &'ast syn::ImplItemFn) {
        if node.sig.constness.is_none() {
            self.body(&node.block);
            visit::visit_impl_item_fn(self, node);
        }
    }

    fn visit_trait_item_fn(&mut self, node: &'ast syn::TraitItemFn) {
        if let Some(block) = &node.default {
            self.body(block);
        }
        visit::visit_trait_item_fn(self, node);
    }

    fn visit_expr_binary(&mut self, node: &'ast syn::ExprBinary) {
        if !binds(&node.left) && !binds(&node.right) {
            let whole = node.span().byte_range();
            self.operator(whole, node.op.span(), "BinaryOperator");
        }
        visit::visit_expr_binary(self, node);
    }

    fn visit_expr_unary(&mut self, node: &'ast syn::ExprUnary) {
        let whole = node.span().byte_range();
        self.operator(whole, node.op.span(), "UnaryOperator");
        visit::visit_expr_unary(self, node);
    }

    fn visit_arm(&mut self, node: &'ast syn::Arm) {
        let behind = node.pat.span().byte_range().end;
        for change in self.at(node.span(), "MatchArm") {
            let text = match &node.guard {
                None => format!(" if {} ", off(change.number)),
                Some(_) => String::new(),
            };
            self.put.behind.entry(behind).or_default().push(text);
            if let Some((_, guard)) = &node.guard {
                let range = guard.span().byte_range();
                self.wrap(range, format!("{} && (", off(change.number)), ")".into());
            }
        }
        if let Some((_, guard)) = &node.guard
            && !binds(guard)
        {
            let others: Vec<(usize, String)> = self
                .at(guard.span(), "MatchArmGuard")
                .into_iter()
                .map(|change| (change.number, change.replacement))
                .collect();
            self.choose(guard.span().byte_range(), &others);
        }
        visit::visit_arm(self, node);
    }

    fn visit_expr_struct(&mut self, node: &'ast syn::ExprStruct) {
        if let Some(rest) = &node.rest {
            let rest = &self.source[rest.span().byte_range()];
            let path = &self.source[node.path.span().byte_range()];
            for field in &node.fields {
                let name = &self.source[field.member.span().byte_range()];
                let taken = if rest
                    .bytes()
                    .all(|one| one.is_ascii_alphanumeric() || b"_.".contains(&one))
                {
                    format!("{rest}.{name}")
                } else {
                    format!("let rest: {path} = {rest}; rest.{name}")
                };
                let others: Vec<(usize, String)> = self
                    .at(field.span(), "StructField")
                    .into_iter()
                    .map(|change| (change.number, taken.clone()))
                    .collect();
                let value = field.expr.span().byte_range();
                if field.colon_token.is_none() && !others.is_empty() {
                    self.put
                        .before
                        .entry(value.start)
                        .or_default()
                        .push(format!("{name}: "));
                }
                self.choose(value, &others);
            }
        }
        visit::visit_expr_struct(self, node);
    }
}

/// The source with all that is put in: what is behind something ends before what begins there, the inner ones first.
fn woven(source: &str, put: &Insertions) -> String {
    let mut out = String::with_capacity(source.len() * 4);
    for (at, one) in source.char_indices() {
        for text in put.behind.get(&at).into_iter().flatten().rev() {
            out += text;
        }
        for text in put.before.get(&at).into_iter().flatten() {
            out += text;
        }
        out.push(one);
    }
    out
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut list = String::new();
    io::stdin().read_to_string(&mut list)?;
    let mut files: BTreeMap<&str, Vec<(Begin, Change)>> = BTreeMap::new();
    for line in list.lines() {
        let parts: Vec<&str> = line.splitn(6, '\t').collect();
        let [number, file, genre, line, column, replacement] = parts[..] else {
            return Err(format!("not a change: {line}").into());
        };
        let change = Change {
            number: number.parse()?,
            genre: genre.to_owned(),
            replacement: replacement.to_owned(),
        };
        let from = (line.parse()?, column.parse()?);
        files.entry(file).or_default().push((from, change));
    }
    for (file, changes) in files {
        let source = fs::read_to_string(file)?;
        let mut numbers: Vec<usize> = changes.iter().map(|(_, change)| change.number).collect();
        let mut switch = Switch {
            source: &source,
            changes: HashMap::new(),
            put: Insertions::default(),
            done: Vec::new(),
        };
        for (from, change) in changes {
            switch.changes.entry(from).or_default().push(change);
        }
        switch.visit_file(&syn::parse_file(&source)?);
        numbers.retain(|number| !switch.done.contains(number));
        for number in numbers {
            println!("{number}");
        }
        fs::write(file, woven(&source, &switch.put))?;
    }
    Ok(())
}
