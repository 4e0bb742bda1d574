//! `FIELDS.md`: every field of a case and every unit, made from the types that read them.

use std::fmt::Write as _;
use std::path::Path;

use coolwright_cases::quantity::{UNITS, Unit};
use syn::{Attribute, Field, Fields, Item, Type};

/// The files of the types, in the order in which a reader wants them.
const FILES: [&str; 12] = [
    "mod", "liquids", "circuit", "parts", "bodies", "air", "charge", "duty", "gauges", "chance",
    "learnt", "stand",
];

const HEAD: &str = r#"# What a case may say

Made from the types that read a case; a test keeps it true. To write it anew:
`WRITE_FIELDS=1 cargo test -p coolwright-cases fields`.

A case is one `Case(…)`. A field in **bold** must be there; every other may be left out, and what is then
assumed stands in the answer. Names are in quotes and hold letters, digits and underscores. Every quantity is a
text with its unit, `"25 mm"`; the units stand at the end.

| block | field | holds | meaning |
| --- | --- | --- | --- |
"#;

/// The words of doc comments, on one line.
fn doc(attributes: &[Attribute]) -> String {
    let line = |attribute: &Attribute| {
        let syn::Meta::NameValue(pair) = &attribute.meta else { return None };
        let syn::Expr::Lit(literal) = &pair.value else { return None };
        let syn::Lit::Str(text) = &literal.lit else { return None };
        pair.path.is_ident("doc").then(|| text.value().trim().to_owned())
    };
    let lines: Vec<String> = attributes.iter().filter_map(line).collect();
    lines.join(" ").replace('|', "\\|")
}

/// The text of an argument of `serde(…)`, or the empty text where it has none.
fn serde(attributes: &[Attribute], name: &str) -> Option<String> {
    let mut found = None;
    for attribute in attributes.iter().filter(|attribute| attribute.path().is_ident("serde")) {
        attribute
            .parse_nested_meta(|meta| {
                let value = meta.value().and_then(syn::parse::ParseBuffer::parse::<syn::LitStr>);
                if meta.path.is_ident(name) {
                    found = Some(value.map(|text| text.value()).unwrap_or_default());
                }
                Ok(())
            })
            .expect("arguments of serde");
    }
    found
}

/// What a type is called in a case, and whether it may be left out.
fn holds(of: &Type) -> (String, bool) {
    let Type::Path(path) = of else {
        let Type::Tuple(tuple) = of else { panic!("a type that no case can hold") };
        let parts: Vec<String> = tuple.elems.iter().map(|part| holds(part).0).collect();
        return (format!("({})", parts.join(", ")), false);
    };
    let last = path.path.segments.last().expect("a path has an end");
    let inner = || {
        let syn::PathArguments::AngleBracketed(arguments) = &last.arguments else {
            panic!("{} holds nothing", last.ident)
        };
        let Some(syn::GenericArgument::Type(inner)) = arguments.args.first() else {
            panic!("{} holds no type", last.ident)
        };
        holds(inner).0
    };
    match last.ident.to_string().as_str() {
        "Option" => (inner(), true),
        "Spanned" | "Box" => (inner(), false),
        "Map" => (format!("`{{\"name\": …}}` of {}", inner()), false),
        "Vec" => (format!("`[…]` of {}", inner()), false),
        "String" => ("text".to_owned(), false),
        "bool" => ("`true` or `false`".to_owned(), false),
        "Raw" => ("any value".to_owned(), false),
        "Flow" => ("volume or mass flow".to_owned(), false),
        name => (named(name), false),
    }
}

/// A kind of quantity in words, anything else as a block.
fn named(name: &str) -> String {
    let words = |name: &str| {
        let mut words = String::new();
        for letter in name.chars() {
            if letter.is_uppercase() && !words.is_empty() {
                words.push(' ');
            }
            words.extend(letter.to_lowercase());
        }
        words
    };
    if QUANTITIES.contains(&name) { words(name) } else { format!("`{}`", block(name)) }
}

/// The kinds of quantity that a case holds.
const QUANTITIES: [&str; 32] = [
    "AirFlow",
    "Angle",
    "Area",
    "Conductance",
    "Conductivity",
    "Count",
    "Current",
    "Density",
    "FilmCoefficient",
    "Fraction",
    "GaugePressure",
    "AbsolutePressure",
    "HeatCapacity",
    "Length",
    "Distance",
    "Mass",
    "MassFlow",
    "Number",
    "Power",
    "HeatRate",
    "PressureDifference",
    "AirPressureDifference",
    "RotationalSpeed",
    "Speed",
    "Temperature",
    "TemperatureDifference",
    "Time",
    "Velocity",
    "Viscosity",
    "Voltage",
    "Volume",
    "VolumeFlow",
];

/// Types whose name in a case is another.
fn block(name: &str) -> &str {
    match name {
        "PartSpec" => "a part",
        "CoolantMix" => "a coolant",
        "BendSpec" => "Bend",
        "SwitchSpec" => "Switch",
        "TableRow" => "Rated",
        name => name,
    }
}

fn row(out: &mut String, block: &str, field: &Field) {
    if serde(&field.attrs, "skip").is_some() {
        return;
    }
    let name = field.ident.as_ref().expect("fields have names");
    let (holds, optional) = holds(&field.ty);
    let optional = optional || serde(&field.attrs, "default").is_some();
    let name = if optional { format!("`{name}`") } else { format!("**`{name}`**") };
    writeln!(out, "| `{block}` | {name} | {holds} | {} |", doc(&field.attrs)).expect("text");
}

fn rows(out: &mut String, block: &str, fields: &Fields, meaning: &str) {
    match fields {
        Fields::Named(fields) => {
            writeln!(out, "| `{block}` | | | {meaning} |").expect("text");
            fields.named.iter().for_each(|field| row(out, block, field));
        }
        Fields::Unnamed(fields) => {
            let parts: Vec<String> = fields.unnamed.iter().map(|f| holds(&f.ty).0).collect();
            writeln!(out, "| `{block}` | | {} | {meaning} |", parts.join(", ")).expect("text");
        }
        Fields::Unit => writeln!(out, "| `{block}` | | | {meaning} |").expect("text"),
    }
}

fn fields() -> String {
    let mut out = String::new();
    for file in FILES {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("src/file/{file}.rs"));
        let text = std::fs::read_to_string(&path).expect("the types of a case");
        let read = |attributes: &[Attribute]| {
            attributes.iter().any(|attribute| {
                let syn::Meta::List(list) = &attribute.meta else { return false };
                list.path.is_ident("derive") && list.tokens.to_string().contains("Deserialize")
            })
        };
        for item in syn::parse_file(&text).expect("Rust").items {
            match item {
                Item::Struct(item) if read(&item.attrs) => {
                    let name = item.ident.to_string();
                    rows(&mut out, block(&name), &item.fields, &doc(&item.attrs));
                }
                Item::Enum(item) if read(&item.attrs) => {
                    let of = item.ident.to_string();
                    for variant in &item.variants {
                        let name = variant.ident.to_string();
                        let name =
                            if of == "PartSpec" { name } else { format!("{}: {name}", block(&of)) };
                        rows(&mut out, &name, &variant.fields, &doc(&variant.attrs));
                    }
                }
                _ => {}
            }
        }
    }
    out
}

/// All units by what they measure.
fn units() -> String {
    let mut out = String::from(
        "\n# Units\n\nA unit may be written as any of the names in its row. Feet and inches may stand together \
         (`\"12 ft 6 in\"`), an hour as `\"1:02:05\"`. A dash size (`-16`) is refused: it names \
         hose and fitting, and their bore is another.\n\n\
         | measures | unit | also written |\n| --- | --- | --- |\n",
    );
    let mut sorted: Vec<&Unit> = UNITS.iter().filter(|unit| !unit.symbol.is_empty()).collect();
    sorted.sort_by_key(|unit| unit.dimension);
    for unit in sorted {
        let measures = unit.dimension.name();
        let measures =
            measures.strip_prefix("a ").or(measures.strip_prefix("an ")).unwrap_or(measures);
        let also: Vec<String> = unit.aliases.iter().map(|alias| format!("`{alias}`")).collect();
        writeln!(out, "| {measures} | `{}` | {} |", unit.symbol, also.join(", ")).expect("text");
    }
    out
}

/// The page in the tree is that of the types.
#[test]
fn fields_and_units_are_those_that_are_read() {
    let want = format!("{HEAD}{}{}", fields(), units());
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("FIELDS.md");
    if std::env::var_os("WRITE_FIELDS").is_some() {
        std::fs::write(&path, &want).expect("the page can be written");
    }
    let got = std::fs::read_to_string(&path).unwrap_or_default();
    let differs = got.lines().zip(want.lines()).find(|(got, want)| got != want);
    assert!(
        got == want,
        "cases/FIELDS.md is not that of the types, first at {differs:?}; write it anew with WRITE_FIELDS=1 cargo \
         test -p coolwright-cases fields"
    );
}
