//! What service does to a tyre and rim: time under load and heat, from the table `[service]`.
//!
//! Every coefficient is an input with a default and its source ([`SERVICE_INPUTS`]).

use super::sound;
use crate::case::Case;
use crate::case::check::case_of;
use crate::case::drawing::Attached;
use crate::case::error::{CaseError, CaseErrors, Problem};
use crate::case::file::{CaseFile, SERVICE};
use crate::case::inputs::{Input, Kind, Need};
use crate::case::reader::quantity_of;
use crate::nearest::nearest;
use crate::units::{BAR, CELSIUS, DAY, HOUR, NEWTON, ONE, PER_KELVIN, PERCENT, Unit};

const fn given(
    key: &'static str,
    (unit, min, max): (Unit, f64, f64),
    value: &'static str,
    meaning: &'static str,
    source: &'static str,
) -> Input {
    Input { section: SERVICE, key, kind: Kind::Quantity { unit, min, max }, need: Need::Default { value }, meaning, source }
}

const fn derived(
    key: &'static str,
    (unit, min, max): (Unit, f64, f64),
    (rule, example): (&'static str, &'static str),
    meaning: &'static str,
    source: &'static str,
) -> Input {
    Input {
        section: SERVICE,
        key,
        kind: Kind::Quantity { unit, min, max },
        need: Need::Derived { rule, example },
        meaning,
        source,
    }
}

const ALONG_ARAMID: &str = "published creep of para-aramid at 1830 MPa (Walton and Majumdar, J. Mater. Sci. 18, 1983): 13 % of the elastic strain after 1000 days by a power law that gives 14.6 % after 4000, so 1.7 % a decade from an hour on";

/// What may stand in the table `[service]`.
pub static SERVICE_INPUTS: [Input; 15] = [
    given(
        "hold",
        (HOUR, 0.01, 1e6),
        "24 h",
        "Time inflated before the tyre counts as stretched",
        "24 h at the highest pressure is common practice, no source",
    ),
    given(
        "life",
        (DAY, 1.0, 1e5),
        "1000 d",
        "Time inflated at the end of its life",
        "as long as the published creep test of para-aramid ran",
    ),
    given(
        "reference_time",
        (HOUR, 1e-4, 1000.0),
        "1 h",
        "Time from which decades of creep are counted",
        "assumption: a measurement of the new bead is done within it",
    ),
    derived(
        "bead_creep",
        (PERCENT, 0.0, 2.0),
        ("1.7 % of the elastic strain", "0.008 %"),
        "Growth of the bead's strain in a decade of time under creep_tension",
        ALONG_ARAMID,
    ),
    given(
        "creep_tension",
        (NEWTON, 1.0, 50_000.0),
        "1500 N",
        "Hoop force under which bead_creep was found; creep is in proportion to the force",
        "invented",
    ),
    given(
        "casing_creep",
        (PERCENT, 0.0, 2.0),
        "0 %",
        "Growth of the casing's cords in a decade of time at the rated pressure",
        "no published value read: measure it",
    ),
    given(
        "cold",
        (CELSIUS, -50.0, 60.0),
        "20 degC",
        "Temperature at which tyre and rim were measured and the tyre is filled",
        "common practice, no source",
    ),
    given(
        "hot_rim",
        (CELSIUS, -50.0, 250.0),
        "100 degC",
        "Temperature of the hot rim",
        "public data of a braking test: rim from 20 to over 100 degC",
    ),
    derived(
        "hot_bead",
        (CELSIUS, -50.0, 250.0),
        ("hot_rim", "90 degC"),
        "Temperature of the hot bead and casing",
        "assumption: the bead lies on the rim",
    ),
    given(
        "hot_air",
        (CELSIUS, -50.0, 150.0),
        "35 degC",
        "Temperature of the air in the hot tyre",
        "the same test: the pressure rose by 5 % only, which is 33 degC of air",
    ),
    given("atmosphere", (BAR, 0.3, 1.2), "1.013 bar", "Pressure of the surrounding air", "standard atmosphere"),
    given(
        "rim_expansion",
        (PER_KELVIN, -1e-5, 1e-4),
        "23.6e-6 /K",
        "Thermal expansion of the rim around the hoop; near 0 for a laminate",
        "from memory: 6061 aluminium",
    ),
    given(
        "bead_expansion",
        (PER_KELVIN, -1e-5, 1e-4),
        "-2e-6 /K",
        "Thermal expansion of the bead's bundle; steel 12e-6 /K",
        "published table of para-aramid fibres: -1.5 to -2.3e-6 /K along the fibre",
    ),
    given(
        "softening",
        (PER_KELVIN, 0.0, 0.02),
        "0.0012 /K",
        "Share of the bead's stiffness lost per kelvin",
        "from memory: para-aramid loses a fifth at 180 degC",
    ),
    given(
        "casing_softening",
        (PER_KELVIN, 0.0, 0.02),
        "0.005 /K",
        "Share of the cords' stiffness lost per kelvin",
        "from memory: nylon cords lose a third or more up to 80 degC",
    ),
];

/// Friction coefficient of the hot bead on the rim, if another one.
pub static HOT_FRICTION: Input = Input {
    section: SERVICE,
    key: "hot_friction",
    kind: Kind::Quantity { unit: ONE, min: 0.0, max: 2.0 },
    need: Need::Optional { absent: "the case's friction stands", example: "0.2" },
    meaning: "Coulomb friction coefficient of the hot bead on the rim",
    source: "no published value read",
};

/// Time and heat in service, in s, K, MPa, N and 1/K.
#[derive(Clone, Debug, PartialEq)]
pub struct Service {
    /// Time inflated before the tyre counts as stretched.
    pub hold: f64,
    /// Time inflated at the end of its life.
    pub life: f64,
    /// Time from which decades of creep are counted.
    pub reference_time: f64,
    /// Creep strain in a decade of time and the hoop force it was found under; none for a share of the elastic strain.
    pub bead_creep: Option<[f64; 2]>,
    /// Creep strain of the cords in a decade of time at the rated pressure.
    pub casing_creep: f64,
    /// Temperature of measurement and filling.
    pub cold: f64,
    /// Temperature of the hot rim.
    pub hot_rim: f64,
    /// Temperature of the hot bead and casing.
    pub hot_bead: f64,
    /// Temperature of the hot air inside.
    pub hot_air: f64,
    /// Pressure outside.
    pub atmosphere: f64,
    /// Thermal expansion of the rim.
    pub rim_expansion: f64,
    /// Thermal expansion of the bundle.
    pub bead_expansion: f64,
    /// Share of the bead's stiffness lost per kelvin.
    pub softening: f64,
    /// Share of the cords' stiffness lost per kelvin.
    pub casing_softening: f64,
    /// Friction coefficient of the hot bead, if another one.
    pub hot_friction: Option<f64>,
}

/// Reads a case and its service from a text; every default stands where the table `[service]` says nothing or is missing.
///
/// # Errors
/// Every fault found in the case and in the table.
pub fn service(text: &str, attached: Attached) -> Result<(Case, Vec<String>, Service), CaseErrors> {
    let (file, structural) = CaseFile::parse(text)?;
    let file = file.with_attached(attached);
    let (case, mut errors) = match case_of(&file, structural) {
        Ok(case) => (Some(case), Vec::new()),
        Err(errors) => (None, errors.0),
    };
    let entries = file.service.as_ref().map_or(&[][..], |(_, entries)| entries);
    let keys = || SERVICE_INPUTS.iter().chain([&HOT_FRICTION]).map(|input| input.key);
    for named in entries.iter().filter(|named| keys().all(|key| key != named.name)) {
        let (name, nearest) = (named.name.clone(), nearest(&named.name, keys()));
        let problem = Problem::UnknownKey { name, section: SERVICE, nearest, elsewhere: None };
        errors.push(CaseError::at(text, format!("{SERVICE}.{}", named.name), named.key.clone(), problem));
    }
    let mut typed = |input: &'static Input| -> Option<f64> {
        let named = entries.iter().find(|named| named.name == input.key)?;
        let fault = |problem| errors.push(CaseError::at(text, input.path(), named.entry.span.clone(), problem));
        quantity_of(input, &named.entry.value).map_err(fault).ok()
    };
    let mut next = SERVICE_INPUTS.iter();
    let mut value = || -> (Option<f64>, f64) {
        let Some(input) = next.next() else { return (None, f64::NAN) };
        let default = crate::units::parse(input.example(), input.unit().unwrap_or(ONE).dimension).unwrap_or(f64::NAN);
        let typed = typed(input);
        (typed, typed.unwrap_or(default))
    };
    let [hold, life, reference_time] = [(); 3].map(|()| value().1);
    let (bead_creep, tension) = (value().0, value().1);
    let [casing_creep, cold, hot_rim] = [(); 3].map(|()| value().1);
    let hot_bead = value().0.unwrap_or(hot_rim);
    let [hot_air, atmosphere, rim_expansion, bead_expansion, softening, casing_softening] = [(); 6].map(|()| value().1);
    let hot_friction = typed(&HOT_FRICTION);
    if life < hold {
        let span = entries
            .iter()
            .find(|named| named.name == "life" || named.name == "hold")
            .map_or(0..0, |named| named.entry.span.clone());
        let problem = Problem::Vary {
            sentence: "the life is shorter than the hold".to_owned(),
            remedy: "give a longer life or a shorter hold".to_owned(),
        };
        errors.push(CaseError::at(text, format!("{SERVICE}.life"), span, problem));
    }
    sound(errors)?;
    let (case, notes) = case.ok_or_else(|| CaseErrors(Vec::new()))?;
    let service = Service {
        hold,
        life,
        reference_time,
        bead_creep: bead_creep.map(|creep| [creep, tension]),
        casing_creep,
        cold,
        hot_rim,
        hot_bead,
        hot_air,
        atmosphere,
        rim_expansion,
        bead_expansion,
        softening,
        casing_softening,
        hot_friction,
    };
    Ok((case, notes, service))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;
    use crate::case::starter;

    fn read(block: &str) -> Result<Service, CaseErrors> {
        service(&(starter() + block), Attached::new()).map(|(_, _, service)| service)
    }

    #[test]
    fn defaults_stand_without_the_table() {
        let s = read("").unwrap();
        assert_eq!((s.hold, s.life, s.reference_time), (86_400.0, 1000.0 * 86_400.0, 3600.0));
        assert!((s.hot_rim - 373.15).abs() < 1e-9 && s.hot_bead == s.hot_rim && (s.hot_air - 308.15).abs() < 1e-9);
        assert_eq!((s.bead_creep, s.casing_creep, s.hot_friction), (None, 0.0, None));
        assert!((s.rim_expansion - 23.6e-6).abs() < 1e-15 && (s.bead_expansion + 2e-6).abs() < 1e-15);
        assert!((s.atmosphere - 0.1013).abs() < 1e-12);
    }

    #[test]
    fn what_is_typed_stands() {
        let s = read("\n[service]\nlife = \"5 d\"\nhot_rim = \"212 degF\"\nhot_bead = \"80 degC\"\nbead_creep = \"0.01 %\"\ncreep_tension = \"1 kN\"\nhot_friction = 0.1\n").unwrap();
        assert_eq!((s.life, s.bead_creep, s.hot_friction), (5.0 * 86_400.0, Some([1e-4, 1000.0]), Some(0.1)));
        assert!((s.hot_rim - 373.15).abs() < 1e-9 && (s.hot_bead - 353.15).abs() < 1e-9);
    }

    #[test]
    fn faults_name_their_place() {
        for (block, key, word) in [
            ("life = \"1 d\"\nhold = \"48 h\"", "service.life", "shorter"),
            ("hot_rim = \"90\"", "service.hot_rim", "unit"),
            ("hot_rims = \"90 degC\"", "service.hot_rims", "hot_rim"),
        ] {
            let errors = read(&format!("\n[service]\n{block}\n")).unwrap_err();
            assert_eq!(errors.0[0].key, key, "{errors}");
            assert!(errors.to_string().contains(word), "{errors}");
        }
    }
}
