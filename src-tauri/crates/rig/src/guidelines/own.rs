//! A team's own guidelines: what it writes, over the defaults for what it leaves out.

use super::{COMMON_PRACTICE, FORMAT, Guidelines, Limit};
use crate::error::RigError;
use serde_json::{Map, Value};

const REMEDY: &str = "mend this field; `ledgebook schema guidelines` says what belongs there";

impl Guidelines {
    /// Reads a guidelines file. It must name its format; what it leaves out is the default.
    ///
    /// # Errors
    /// Text that is no guidelines file, or as [`Guidelines::over_defaults`].
    pub fn read(text: &str) -> Result<Guidelines, RigError> {
        let whole: Value = serde_json::from_str(text.trim_start_matches('\u{feff}')).map_err(|e| {
            let place = format!("line {} column {}", e.line(), e.column());
            RigError::new(place, e.to_string(), "the text is not whole JSON; take an undamaged copy")
        })?;
        match whole {
            Value::Object(own) if own.contains_key("format") => Guidelines::over_defaults(own),
            Value::Object(_) => {
                let what = "the file has no format word";
                Err(RigError::new("format", what, format!("begin it with \"format\": \"{FORMAT}\"")))
            }
            _ => Err(RigError::new("the whole file", "guidelines are a JSON object", REMEDY)),
        }
    }

    /// The defaults with these fields in place of theirs. Lists and tables are taken whole; of `words` only the
    /// lists that are given.
    ///
    /// # Errors
    /// An unknown or malformed field with its path, or a value without sense or source.
    pub fn over_defaults(own: Map<String, Value>) -> Result<Guidelines, RigError> {
        let mut whole = serde_json::to_value(Guidelines::defaults())
            .map_err(|e| RigError::new("", e.to_string(), "report this as a fault of the program"))?;
        for (name, value) in own {
            match (whole.get_mut("words"), name.as_str(), value) {
                (Some(Value::Object(words)), "words", Value::Object(lists)) => words.extend(lists),
                (_, _, value) => whole[name] = value,
            }
        }
        let guidelines: Guidelines = serde_path_to_error::deserialize(whole).map_err(|e| {
            let path = e.path().to_string();
            RigError::new(path, e.into_inner().to_string(), REMEDY)
        })?;
        match guidelines.fault() {
            Some(fault) => Err(fault),
            None => Ok(guidelines),
        }
    }

    /// What is wrong with these guidelines and in which field; `None` when they can be used.
    pub fn fault(&self) -> Option<RigError> {
        let wrong = |place: &str, what: String| Some(RigError::new(place, what, REMEDY));
        if self.format != FORMAT {
            let what =
                format!("the guidelines are of format “{}”, this program reads “{FORMAT}”", self.format);
            return wrong("format", what);
        }
        for (name, limit) in self.limits() {
            if !limit.value.is_finite() || limit.value <= 0.0 {
                return wrong(&format!("{name}.value"), format!("{} is not over 0", limit.value));
            }
            if limit.source.trim().is_empty() {
                let what = format!("there is no source; name one or write \"{COMMON_PRACTICE}\"");
                return wrong(&format!("{name}.source"), what);
            }
        }
        if let Some((place, what)) = self.falls.fault() {
            return wrong(&place, what);
        }
        if self.people.lost_communications_act.words.trim().is_empty() {
            return wrong("people.lost_communications_act.words", "it says nothing".into());
        }
        if self.people.real_emergency.words.trim().is_empty() {
            return wrong("people.real_emergency.words", "it says nothing".into());
        }
        if self.v_angle_deg.value >= 180.0 {
            return wrong("v_angle_deg.value", format!("{} is not under 180", self.v_angle_deg.value));
        }
        if self.haul_product_most.value < self.haul_product.value {
            return wrong("haul_product_most.value", "it is under haul_product".into());
        }
        self.fault_of_words()
    }

    /// Without these words no order would be heard: a stop that is not known as one stops no clock.
    fn fault_of_words(&self) -> Option<RigError> {
        let wrong = |place: String, what: String| Some(RigError::new(place, what, REMEDY));
        let w = &self.words;
        let lists = [
            ("load_test", &w.load_test),
            ("at_the_edge", &w.at_the_edge),
            ("lower", &w.lower),
            ("raise", &w.raise),
            ("slow", &w.slow),
            ("stop", &w.stop),
            ("stopped", &w.stopped),
            ("tied_off", &w.tied_off),
            ("landed", &w.landed),
        ];
        for (name, list) in lists.into_iter().chain(w.phases.lists()) {
            if list.is_empty() || list.iter().any(|word| word.trim().is_empty()) {
                return wrong(format!("words.{name}"), "the list, or a word in it, is empty".into());
            }
        }
        let mut codes: Vec<&str> = self.roles.iter().map(|r| r.code.as_str()).collect();
        codes.sort_unstable();
        if let Some(twice) = codes.windows(2).find(|w| w[0] == w[1]) {
            return wrong("roles".into(), format!("two roles have the code “{}”", twice[0]));
        }
        if !self.roles.iter().any(|r| r.role == "control") {
            return wrong("roles".into(), "there is no role “control”, whose orders move the load".into());
        }
        None
    }

    fn limits(&self) -> Vec<(String, &Limit)> {
        let named = [
            ("required_margin", &self.required_margin),
            ("required_after_loss", &self.required_after_loss),
            ("readback_s", &self.readback_s),
            ("stop_s", &self.stop_s),
            ("par_min", &self.par_min),
            ("clock_s", &self.clock_s),
            ("pull_per_person_kN", &self.pull_per_person_kn),
            ("v_angle_deg", &self.v_angle_deg),
            ("haul_product", &self.haul_product),
            ("haul_product_most", &self.haul_product_most),
            ("rope_spare_m", &self.rope_spare_m),
            ("falls.peak_kN", &self.falls.peak_kn),
        ];
        let people = self.people.limits().map(|(name, limit)| (name.to_string(), limit));
        let by_kind = self.required_by_kind.iter().map(|(kind, l)| (format!("required_by_kind.{kind}"), l));
        named
            .map(|(name, limit)| (name.to_string(), limit))
            .into_iter()
            .chain(people)
            .chain(by_kind)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn over(own: Value) -> Result<Guidelines, RigError> {
        Guidelines::over_defaults(own.as_object().unwrap().clone())
    }

    #[test]
    fn what_a_team_leaves_out_is_the_default() {
        let own = json!({
            "required_margin": {"value": 15, "source": "our own rule"},
            "words": {"stop": ["halt"]},
            "whistle": {"1": "halt"},
        });
        let mut expected = Guidelines::defaults();
        expected.required_margin = super::super::limit(15.0, "our own rule");
        expected.words.stop = vec!["halt".into()];
        expected.whistle = [("1".to_string(), "halt".to_string())].into();
        assert_eq!(over(own).unwrap(), expected);
        let own = json!({"people": {"on_rope_min": {"value": 40, "source": "our own rule"}}});
        let mut expected = Guidelines::defaults();
        expected.people.on_rope_min = super::super::limit(40.0, "our own rule");
        assert_eq!(over(own).unwrap(), expected, "of the rules about people only what is given");
        let own = json!({"words": {"phases": {"reset": {"begins": ["draw out"], "done": ["drawn out"]}}}});
        let mut expected = Guidelines::defaults();
        expected.words.phases.reset.begins = vec!["draw out".into()];
        expected.words.phases.reset.done = vec!["drawn out".into()];
        assert_eq!(over(own).unwrap(), expected, "of the phases only what is given");
        assert_eq!(over(json!({})).unwrap(), Guidelines::defaults());
    }

    #[test]
    fn what_cannot_be_read_is_named_with_its_place() {
        for (own, place, words) in [
            (json!({"required_margins": 15}), "required_margins", "unknown field"),
            (json!({"required_margin": 15}), "required_margin", "invalid type"),
            (
                json!({"required_margin": {"value": "15", "source": "x"}}),
                "required_margin.value",
                "invalid type",
            ),
            (json!({"required_margin": {"value": -1, "source": "x"}}), "required_margin.value", "over 0"),
            (json!({"required_margin": {"value": 15}}), "required_margin", "source"),
            (json!({"words": {"halt": ["halt"]}}), "words.halt", "unknown field"),
            (json!({"v_angle_deg": {"value": 180, "source": "x"}}), "v_angle_deg.value", "under 180"),
            (
                json!({"haul_product_most": {"value": 3, "source": "x"}}),
                "haul_product_most.value",
                "under haul_product",
            ),
            (json!({"par_min": {"value": 30, "source": " "}}), "par_min.source", "no source"),
            (
                json!({"required_by_kind": {"knot": {"value": 0, "source": "x"}}}),
                "required_by_kind.knot.value",
                "over 0",
            ),
            (json!({"words": {"stop": []}}), "words.stop", "empty"),
            (
                json!({"words": {"phases": {"reset": {"begins": [], "done": ["drawn out"]}}}}),
                "words.phases.reset.begins",
                "empty",
            ),
            (json!({"words": {"phases": {"reset": {"begins": ["draw out"]}}}}), "words.phases.reset", "done"),
            (json!({"people": {"silent_min": 5}}), "people.silent_min", "unknown field"),
            (
                json!({"people": {"on_rope_min": {"value": 0, "source": "x"}}}),
                "people.on_rope_min.value",
                "over 0",
            ),
            (
                json!({"people": {"lost_communications_act": {"words": " ", "source": "x"}}}),
                "people.lost_communications_act",
                "nothing",
            ),
            (json!({"roles": []}), "roles", "control"),
            (
                json!({"roles": [{"role": "control", "short": "c", "code": "c"}, {"role": "x", "short": "x", "code": "c"}]}),
                "roles",
                "two roles",
            ),
            (json!({"format": "ledgebook-guidelines/9"}), "format", "format"),
        ] {
            let error = over(own.clone()).unwrap_err();
            assert!(error.place.starts_with(place) && error.what.contains(words), "{own}: {error}");
        }
        for (text, place) in [("{", "line 1"), ("[]", "the whole file"), ("{}", "format")] {
            assert!(Guidelines::read(text).unwrap_err().place.starts_with(place), "{text}");
        }
    }

    #[test]
    fn a_range_for_falls_that_cannot_be_is_named_with_its_place() {
        for (own, place, words) in [
            (
                json!({"falls": {"reaction_s": {"low": 0.5, "likely": 0.4, "high": 1, "source": "x"}}}),
                "falls.reaction_s.likely",
                "rise",
            ),
            (
                json!({"falls": {"damping_s": {"low": 0, "likely": 0.4, "high": 1, "source": "x"}}}),
                "falls.damping_s.low",
                "0.001 to 1",
            ),
            (
                json!({"falls": {"never_acts": {"value": 2, "source": "x"}}}),
                "falls.never_acts.value",
                "0 to 1",
            ),
            (
                json!({"falls": {"capture_m": {"low": 0, "likely": 0, "high": 1, "source": ""}}}),
                "falls.capture_m.source",
                "source",
            ),
            (json!({"falls": {"peak_kN": {"value": 0, "source": "x"}}}), "falls.peak_kN.value", "over 0"),
            (
                json!({"people": {"real_emergency": {"words": "", "source": "x"}}}),
                "people.real_emergency",
                "nothing",
            ),
        ] {
            let error = over(own.clone()).unwrap_err();
            assert!(error.place.starts_with(place) && error.what.contains(words), "{own}: {error}");
        }
    }
}
