//! What service does to a tyre and rim: time under load and heat, from the table `[service]`.
//!
//! Every coefficient is an input with a default and its source ([`SERVICE_INPUTS`]); [`Service::resolved`] lists them with their values.

mod condition;

pub use condition::{Condition, ELASTIC_SHARE, InService, spoke_gain};

use crate::error::{CaseError, CaseErrors, Problem};
use crate::file::CaseFile;
use crate::inputs::Input;
use crate::inputs::service::*;
use crate::reader::Reader;
use crate::resolved::Row;
use crate::units::{CELSIUS, ONE, number};

/// Least share of a stiffness that heat may leave: a straight line by temperature does not hold so far.
const LEAST_LEFT: f64 = 0.2;

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
    /// When diameter and stiffness of the bead were measured; none before any pre-stretch.
    pub measured: Option<Measured>,
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

/// A pre-stretch after which a bead was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// Its time, s.
    pub after: f64,
    /// Its hoop force, N; none for that of the new bead at the rated pressure.
    pub tension: Option<f64>,
}

impl Service {
    /// The same service of a bead measured at the other time: after the hold, where it was measured before any pre-stretch, else before.
    #[must_use]
    pub fn measured_otherwise(&self) -> Self {
        let after_hold = Measured { after: self.hold, tension: None };
        Self { measured: if self.measured.is_none() { Some(after_hold) } else { None }, ..self.clone() }
    }

    /// Table, key and value with its unit of every input that has one.
    pub fn rows(&self) -> Vec<Row> {
        let row = |(input, value): (&Input, Option<f64>)| Some((input.section, input.key, input.unit()?.format(value?)));
        self.resolved().into_iter().filter_map(row).collect()
    }

    /// Every input with its value in the inner unit; none where it is not given and has no default.
    pub fn resolved(&self) -> [(&'static Input, Option<f64>); 18] {
        let [creep, tension] = self.bead_creep.map_or([None; 2], |pair| pair.map(Some));
        [
            (&HOLD, Some(self.hold)),
            (&LIFE, Some(self.life)),
            (&REFERENCE_TIME, Some(self.reference_time)),
            (&BEAD_CREEP, creep),
            (&CREEP_TENSION, tension),
            (&MEASURED_AFTER, self.measured.map(|measured| measured.after)),
            (&MEASURED_TENSION, self.measured.and_then(|measured| measured.tension)),
            (&CASING_CREEP, Some(self.casing_creep)),
            (&COLD, Some(self.cold)),
            (&HOT_RIM, Some(self.hot_rim)),
            (&HOT_BEAD, Some(self.hot_bead)),
            (&HOT_AIR, Some(self.hot_air)),
            (&ATMOSPHERE, Some(self.atmosphere)),
            (&RIM_EXPANSION, Some(self.rim_expansion)),
            (&BEAD_EXPANSION, Some(self.bead_expansion)),
            (&SOFTENING, Some(self.softening)),
            (&CASING_SOFTENING, Some(self.casing_softening)),
            (&HOT_FRICTION, self.hot_friction),
        ]
    }
}

/// The service of a file; `faults` are those found in it before.
///
/// # Errors
/// Every fault found, in the order of the text.
pub(super) fn service_of(file: &CaseFile<'_>, faults: Vec<CaseError>) -> Result<Service, CaseErrors> {
    let mut reader = Reader { file, errors: faults };
    let service = build(&mut reader);
    // Where a key is misspelt its default stands in the service, which may break rules that what was meant does not.
    let misspelt = |error: &CaseError| matches!(error.problem, Problem::UnknownKey { section, .. } if section == SERVICE_TABLE.0);
    if !reader.errors.iter().any(misspelt) {
        check(&service, &mut reader);
    }
    let mut errors = reader.errors;
    errors.sort_by_key(|error| error.span.start);
    if errors.is_empty() { Ok(service) } else { Err(CaseErrors(errors)) }
}

fn build(r: &mut Reader<'_>) -> Service {
    let hot_rim = r.quantity(&HOT_RIM);
    let creep_tension = r.quantity(&CREEP_TENSION);
    r.needs(&MEASURED_TENSION, &MEASURED_AFTER);
    let measured_tension = r.optional(&MEASURED_TENSION);
    Service {
        hold: r.quantity(&HOLD),
        life: r.quantity(&LIFE),
        reference_time: r.quantity(&REFERENCE_TIME),
        bead_creep: r.optional(&BEAD_CREEP).map(|creep| [creep, creep_tension]),
        measured: r.optional(&MEASURED_AFTER).map(|after| Measured { after, tension: measured_tension }),
        casing_creep: r.quantity(&CASING_CREEP),
        cold: r.quantity(&COLD),
        hot_rim,
        hot_bead: r.quantity_or(&HOT_BEAD, hot_rim),
        hot_air: r.quantity(&HOT_AIR),
        atmosphere: r.quantity(&ATMOSPHERE),
        rim_expansion: r.quantity(&RIM_EXPANSION),
        bead_expansion: r.quantity(&BEAD_EXPANSION),
        softening: r.quantity(&SOFTENING),
        casing_softening: r.quantity(&CASING_SOFTENING),
        hot_friction: r.optional(&HOT_FRICTION),
    }
}

/// Rules between the inputs. A value that could not be read is NaN and breaks none.
fn check(s: &Service, r: &mut Reader<'_>) {
    let mut broken = |input: &'static Input, sentence: String, remedy: &str| {
        r.report(input, Problem::Vary { sentence, remedy: remedy.to_owned() });
    };
    if s.life < s.hold {
        broken(&LIFE, "the life is shorter than the hold".to_owned(), "give a longer life or a shorter hold");
    }
    for (input, hot) in [(&HOT_RIM, s.hot_rim), (&HOT_BEAD, s.hot_bead), (&HOT_AIR, s.hot_air)] {
        if hot < s.cold {
            let sentence = format!("{} is {}, below the {} of `cold`", input.key, CELSIUS.format(hot), CELSIUS.format(s.cold));
            broken(input, sentence, "give a higher temperature, or a lower one for `cold`");
        }
    }
    for (input, softening) in [(&SOFTENING, s.softening), (&CASING_SOFTENING, s.casing_softening)] {
        let left = 1.0 - softening * (s.hot_bead - s.cold);
        if left < LEAST_LEFT {
            let sentence = format!(
                "{} leaves {} of the stiffness at {}, less than {}",
                input.key,
                ONE.format(left),
                CELSIUS.format(s.hot_bead),
                number(LEAST_LEFT)
            );
            broken(input, sentence, "give a smaller share or a lower temperature: a straight line does not hold so far");
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;
    use crate::check::{service, stated_service};
    use crate::file::Attached;
    use crate::starter::starter;

    fn read(block: &str) -> Result<Service, CaseErrors> {
        service(&(starter() + block), Attached::new())
    }

    #[test]
    fn defaults_stand_without_the_table() {
        let s = read("").unwrap();
        assert_eq!((s.hold, s.life, s.reference_time), (86_400.0, 1000.0 * 86_400.0, 3600.0));
        assert!((s.hot_rim - 373.15).abs() < 1e-9 && s.hot_bead == s.hot_rim && (s.hot_air - 308.15).abs() < 1e-9);
        assert_eq!((s.bead_creep, s.casing_creep, s.hot_friction, s.measured), (None, 0.0, None, None));
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
            ("hot_air = \"10 degC\"", "service.hot_air", "below the 20 degC"),
            ("cold = \"50 degC\"", "service.hot_air", "below the 50 degC"),
            ("measured_tension = \"1 kN\"", "service.measured_tension", "no use without `measured_after`"),
            ("measured_after = \"1 kN\"", "service.measured_after", "a time is needed"),
            ("softening = \"0.011 /K\"", "service.softening", "leaves 0.12"),
            ("casing_softening = \"0.011 /K\"\nhot_bead = \"95 degC\"", "service.casing_softening", "leaves 0.175"),
        ] {
            let errors = read(&format!("\n[service]\n{block}\n")).unwrap_err();
            assert_eq!(errors.0[0].key, key, "{errors}");
            assert!(errors.to_string().contains(word), "{errors}");
        }
    }

    /// A fault in the table is told by whatever reads the case.
    #[test]
    fn a_misspelt_key_is_a_fault_of_the_case() {
        let errors = crate::check::read(&(starter() + "\n[service]\nhot_rims = \"90 degC\"\n")).unwrap_err();
        assert_eq!(errors.0[0].key, "service.hot_rims", "{errors}");
    }

    /// A misspelt key and wrong values at once; what follows from the default of the misspelt one is none of them.
    #[test]
    fn all_faults_of_the_table_are_told_at_once() {
        let block = "lief = \"1 d\"\nhold = \"2000 d\"\nhot_rim = \"90\"\nhot_air = \"40 bar\"\n";
        let errors = crate::check::read(&(starter() + "\n[service]\n" + block)).unwrap_err();
        let keys: Vec<&str> = errors.0.iter().map(|error| error.key.as_str()).collect();
        assert_eq!(keys, ["service.lief", "service.hot_rim", "service.hot_air"], "{errors}");
    }

    #[test]
    fn a_stated_service_is_listed_with_its_units() {
        assert_eq!(stated_service(&starter(), Attached::new()).unwrap(), None);
        let rows = stated_service(&(starter() + "\n[service]\nlife = \"48 h\"\n"), Attached::new()).unwrap().unwrap().rows();
        assert_eq!((rows.len(), &rows[1]), (SERVICE_INPUTS.len() - 5, &("service", "life", "2 d".to_owned())));
    }

    #[test]
    fn every_input_is_resolved_in_its_order() {
        let s = read("").unwrap();
        assert!(s.resolved().iter().map(|(input, _)| input.key).eq(SERVICE_INPUTS.iter().map(|input| input.key)));
        assert_eq!(s.resolved().iter().filter(|(_, value)| value.is_none()).count(), 5);
    }
}
