package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// The schemas of the documents (JSON Schema, 2020-12), each with a sentence for every key: what a program may rely on. Documents are
// written elsewhere, key by key; tests hold every document to its schema, so that neither can change alone.

// Schemas are the names of the documents that have a schema.
func Schemas() []string { return []string{"check", "recheck"} }

// AppendSchema appends the schema of a document.
func AppendSchema(dst []byte, name string) ([]byte, error) {
	var doc Object
	switch name {
	case "check":
		doc = checkSchema()
	case "recheck":
		doc = recheckSchema()
	default:
		return dst, fmt.Errorf("no document is called %q: there are %s", name, strings.Join(Schemas(), ", "))
	}
	head := Object{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"}, {"$id", "urn:bayproof:" + name + ":1"}, {"title", "bayproof/" + name + "/1"},
	}
	text, err := append(head, doc...).MarshalJSON()
	if err != nil {
		return dst, err
	}
	var b bytes.Buffer
	err = json.Indent(&b, text, "", "  ")
	return append(append(dst, b.Bytes()...), '\n'), err
}

// kind is the schema of one value.
type kind Object

// typed is a value of a type, with what it means.
func typed(meaning string, types ...string) kind {
	var t any = types
	if len(types) == 1 {
		t = types[0]
	}
	out := kind{{"type", t}}
	if meaning != "" {
		out = append(out, [2]any{"description", meaning})
	}
	return out
}

// The kinds of values: a figure is null where it does not exist, and so is a word.
func figureOf(meaning string) kind  { return typed(meaning, "number", "null") }
func countOf(meaning string) kind   { return typed(meaning, "integer") }
func textOf(meaning string) kind    { return typed(meaning, "string") }
func wordOrNot(meaning string) kind { return typed(meaning, "string", "null") }
func yesNo(meaning string) kind     { return typed(meaning, "boolean") }
func listOf(meaning string, of kind) kind {
	return append(typed(meaning, "array"), [2]any{"items", Object(of)})
}

// wordOf is one of some words; the empty one stands for null.
func wordOf(meaning string, words ...string) kind {
	list := make([]any, len(words))
	for i, w := range words {
		list[i] = OrNull(w)
	}
	return kind{{"enum", list}, {"description", meaning}}
}

// key is a key of an object with the kind of its value.
type key struct {
	name string
	of   kind
}

// objectOf is an object of these keys and no other; those that begin with a question mark need not be there.
func objectOf(meaning string, keys ...key) kind {
	var properties Object
	required := []string{}
	for _, k := range keys {
		name, optional := strings.CutPrefix(k.name, "?")
		properties = append(properties, [2]any{name, Object(k.of)})
		if !optional {
			required = append(required, name)
		}
	}
	return append(typed(meaning, "object"), [2]any{"properties", properties}, [2]any{"required", required}, [2]any{"additionalProperties", false})
}

// figures are keys of one kind, in a row.
func figures(keys ...string) []key {
	out := make([]key, len(keys)/2)
	for i := range out {
		out[i] = key{keys[2*i], figureOf(keys[2*i+1])}
	}
	return out
}

// anyData is the evidence of a finding: its keys are those that fields lists for the code.
func anyData() kind { return typed("the evidence, by key, in the job's units", "object") }

func checkSchema() Object {
	reasons := listOf("what speaks about it", objectOf("", key{"code", textOf("a code of bayproof fields")}, key{"text", textOf("the sentence")}, key{"data", anyData()}, key{"answered", wordOrNot("the code of what answered it")}))
	now := objectOf("what to do", key{"action", wordOrNot("what kind of thing")}, key{"text", wordOrNot("the sentence")}, key{"data", anyData()}, key{"?log", wordOrNot("the line that reports it")})
	verdict := func(meaning string) kind { return wordOf(meaning, "CLOSE", "ADD", "MEASURE", "PROBE", "") }
	bay := slices.Concat(
		[]key{{"section", textOf("its section's name")}, {"bay", textOf("its name")}, {"lines", listOf("lines of the log that name it", countOf(""))},
			{"state", wordOf("how far it has come", "filled", "not-filled", "struck", "left", "closed")}, {"shared_with", listOf("bays that share its count", textOf(""))}},
		figures("volume", "", "mass", "", "bags", "as counted, or the mass over the bag weight", "density", "", "u_density", "its combined standard uncertainty", "dof", "effective degrees of freedom; null: unlimited",
			"density_lo", "expanded interval", "density_hi", "expanded interval", "level", "of the interval", "prob_measured", "P(density at the target or above) from its own measurement", "prob_at_target", "the probability that decides"),
		[]key{{"basis", wordOf("whose evidence it rests on", "own", "crew", "job", "")}, {"verdict", verdict("the action it asks for; null without material")}, {"verdict_when_closed", verdict("as it stood at its closing")},
			{"?verdict_today", verdict("what it would be now")}, {"?prob_today", figureOf("what it would be now")}, {"?decided", typed("who closes it as it stands, and why", "object", "null")},
			{"reasons", reasons}, {"now", now},
			{"next_bay", objectOf("what would have settled it", key{"input", wordOrNot("")}, key{"text", wordOrNot("")}, key{"prob", figureOf("")})}},
		figures("add_mass", "to the aim", "add_bags", "", "add_density", "what it then has", "empty_length", "if the rest is packed like the crew's others", "empty_length_lo", "", "empty_length_hi", "",
			"could_hide", "a longer gap would have read lower, 19 times in 20"),
		[]key{{"budget", listOf("shares of the variance", objectOf("", key{"input", textOf("")}, key{"share", figureOf("of 1")}))}},
	)
	section := slices.Concat([]key{{"section", textOf("")}, {"bays", countOf("filled")}, {"bays_expected", typed("null: nobody said", "integer", "null")}},
		figures("volume", "", "mass", "", "mass_required", "at the target", "bags", "", "bags_required", "", "density", "all material over all volume", "u_density", "", "prob_at_target", "", "mean", "of the bays' true densities", "sd", "from bay to bay", "lower_tolerance", "what nineteen in twenty exceed, at 90 %"),
		[]key{{"drift", objectOf("along the order of filling", append([]key{{"method", wordOrNot("")}, {"found", yesNo("")}}, figures("slope", "density a bay", "u_slope", "", "z", "")...)...)}, {"reasons", reasons}, {"?now", typed("what to do about the whole section", "object", "null")}})
	var totals []key
	for _, name := range []string{"bays", "close", "add", "measure", "probe", "not_filled", "not_in_log", "closed_not_close", "?left", "?decided"} {
		totals = append(totals, key{name, countOf("bays")})
	}
	totals = slices.Concat(totals, []key{{"counts", wordOf("what the empties make of the counts", "confirmed", "contradicted", "unchecked")}, {"reasons", reasons}, {"?now", typed("what to do about the whole job", "object", "null")}},
		figures("density_most", "mean that the empties allow at most", "volume", "", "mass", "", "mass_required", "", "bags", "", "bags_loaded", "", "bags_left", "", "bags_elsewhere", "left the truck and went into no bay, by the log", "bags_used", "went into the bays by loaded less left and elsewhere, or by the empties", "unaccounted_bags", "loaded less left less elsewhere less logged"))
	setting := objectOf("", key{"value", typed("a number, a word, a list of numbers", "number", "string", "array", "null")}, key{"unit", wordOrNot("")}, key{"source", textOf("where it comes from")})
	return Object(objectOf("one job",
		key{"schema", kind{{"const", CheckSchema}}}, key{"method", countOf("rises when a figure can change")}, key{"text", textOf("digest of the sentences")}, key{"lang", textOf("of the sentences")},
		key{"tool", objectOf("what wrote it", key{"name", textOf("")}, key{"version", textOf("")})},
		key{"job", objectOf("", key{"name", textOf("")}, key{"date", textOf("")}, key{"crew", textOf("")}, key{"site", textOf("")})},
		key{"inputs", listOf("files that were read", objectOf("", key{"file", textOf("")}, key{"sha256", textOf("")}))},
		key{"units", objectOf("", key{"length", textOf("")}, key{"volume", textOf("")}, key{"mass", textOf("")}, key{"density", textOf("")})},
		key{"settings", append(typed("by name", "object"), [2]any{"additionalProperties", Object(setting)})},
		key{"rule_used", wordOf("", "process", "guarded")},
		key{"bays", listOf("in the log's order", objectOf("", bay...))}, key{"sections", listOf("", objectOf("", section...))}, key{"totals", objectOf("", totals...)},
		key{"warnings", listOf("", objectOf("", key{"code", textOf("")}, key{"text", textOf("")}, key{"file", wordOrNot("")}, key{"line", typed("", "integer", "null")}, key{"section", wordOrNot("")}, key{"bay", wordOrNot("")}))},
	))
}

func recheckSchema() Object {
	outcome := wordOf("", "holds", "differs", "not fully checked")
	return Object(objectOf("what was found about one record",
		key{"schema", kind{{"const", "bayproof/recheck/1"}}}, key{"record", textOf("the file")}, key{"outcome", outcome}, key{"method", countOf("by which figures are computed here")}, key{"job", textOf("")},
		key{"written_by", objectOf("", key{"name", textOf("")}, key{"version", textOf("")}, key{"arch", textOf("processor family")})},
		key{"record_method", countOf("by which the record's figures were computed; 0: no number")}, key{"sha256", textOf("the digest that it states")},
		key{"changes", listOf("what happened to the file", textOf(""))},
		key{"checks", listOf("", objectOf("", key{"check", textOf("bytes, files, figures, page, signature")}, key{"result", outcome}, key{"text", textOf("")}))},
		key{"differences", listOf("all of them, verdicts first", objectOf("", key{"part", wordOf("", "verdict", "headline", "section", "bay", "rest")}, key{"where", textOf("")}, key{"stated", textOf("what the record says")}, key{"now", textOf("what comes of its files")}))},
		key{"signed_by", listOf("names of the signers whose signature holds", textOf(""))}, key{"note", textOf("what a digest does not prove")},
	))
}
