package report

import (
	"fmt"
	"slices"
	"strings"

	"bayproof/report/screen"
)

// The schemas of the documents (JSON Schema, 2020-12), each with a sentence for every key: what a
// program may rely on. Documents are written elsewhere, key by key; tests hold every document to
// its schema, so that neither can change alone.

// schemas are the documents that have one, Schemas their names.
var schemas = []struct {
	name string
	of   func() kind
}{
	{"check", checkSchema}, {"recheck", recheckSchema}, {"plan", planSchema}, {"review", reviewSchema}, {"fields", fieldsSchema}, {"constants", constantsSchema},
}

// Schemas are the names of all documents.
func Schemas() (names []string) {
	for _, s := range schemas {
		names = append(names, s.name)
	}
	return names
}

// SchemaName is the key schema of a document.
func SchemaName(document string) string { return "bayproof/" + document + "/1" }

// AppendDictionary appends the keys of a document as CSV, a row each: where it stands, what its
// values are, what it means. A dot leads into an object, [] into a list. The flat keys of a list
// are the columns of the command's CSV.
func AppendDictionary(dst []byte, name string) ([]byte, error) {
	doc, err := schemaOf(name)
	if err != nil {
		return dst, err
	}
	return appendKeys(screen.AppendRow(dst, "document", "key", "type", "meaning"), name, "", doc), nil
}

// appendKeys appends the keys of an object, and of those inside it.
func appendKeys(dst []byte, name, at string, schema Object) []byte {
	for _, part := range schema {
		switch {
		case part[0] == "properties":
			for _, k := range part[1].(Object) {
				of, key := k[1].(Object), strings.TrimPrefix(at+"."+k[0].(string), ".")
				var types, meaning string
				for _, x := range of {
					switch x[0] {
					case "type", "enum", "const":
						types = wordsOf(x[1])
					case "description":
						meaning = x[1].(string)
					}
				}
				dst = appendKeys(screen.AppendRow(dst, name, key, types, meaning), name, key, of)
			}
		case part[0] == "items":
			dst = appendKeys(dst, name, at+"[]", part[1].(Object))
		case part[0] == "additionalProperties" && part[1] != false && part[1] != true:
			dst = appendKeys(dst, name, at+".*", part[1].(Object))
		}
	}
	return dst
}

// wordsOf writes a type, or the words that a value may be.
func wordsOf(v any) string {
	switch list := v.(type) {
	case []string:
		return strings.Join(list, " | ")
	case []any:
		var out []string
		for _, word := range list {
			out = append(out, strings.ReplaceAll(fmt.Sprint(word), "<nil>", "null"))
		}
		return strings.Join(out, " | ")
	}
	return fmt.Sprint(v)
}

// AppendSchema appends the schema of a document.
func AppendSchema(dst []byte, name string) ([]byte, error) {
	doc, err := schemaOf(name)
	if err != nil {
		return dst, err
	}
	head := Object{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"}, {"$id", "urn:bayproof:" + name + ":1"}, {"title", SchemaName(name)},
	}
	return AppendObject(dst, append(head, doc...), true)
}

// schemaOf is the schema of a document.
func schemaOf(name string) (Object, error) {
	for _, s := range schemas {
		if s.name == name {
			return Object(s.of()), nil
		}
	}
	return nil, fmt.Errorf("no document is called %q: there are %s", name, strings.Join(Schemas(), ", "))
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

// placeKeys are those of a place: as the file has it, then as a spreadsheet shows it.
func placeKeys() []key {
	return []key{{"file", wordOrNot("")}, {"line", typed("", "integer", "null")}, {"column", typed("its field in the row, from 1", "integer", "null")},
		{"row", typed("as a spreadsheet numbers it", "integer", "null")}, {"letter", wordOrNot("of the column, as a spreadsheet names it")}, {"title", wordOrNot("of the column, as its header is written")}}
}

// wordOf is one of some words; the empty one stands for null.
func wordOf(meaning string, words ...string) kind {
	list := make([]any, len(words))
	for i, w := range words {
		list[i] = OrNull(w)
	}
	return kind{{"enum", list}, {"description", meaning}}
}

// meanings are those of keys and of columns that mean the same wherever they stand. A key that says
// its own keeps it.
var meanings = map[string]string{
	"schema": "names the document, and by its number the shape", "name": "its name", "version": "the tool's version", "job": "the job's name", "date": "the job's date, as job.csv says it",
	"crew": "the crew, as job.csv says it", "site": "the place, as job.csv says it", "file": "the file's name; null where no file is meant", "sha256": "SHA-256 of its bytes, hex",
	"unit": "of the value; null where it has none", "section": "the section's name", "bay": "the bay's name", "line": "the line of the file; null where no line is meant", "code": "a code of bayproof fields", "text": "the sentence",
	"kind": "which kind it is", "meaning": "what it is, in a sentence", "value": "as it is used", "source": "where it comes from", "volume": "what the material occupies", "mass": "what went in",
	"mass_required": "what the volume takes at the target", "bags": "bags, a part of one as its fraction", "bags_required": "the same in bags", "density": "mass over volume", "u_density": "its combined standard uncertainty",
	"length": "of the bay", "prob_at_target": "P(density at the target or above)", "add_bags": "the same in bags", "empty_length_lo": "lower end of its interval", "empty_length_hi": "upper end of its interval",
	"target": "the least density that is accepted", "aim": "the density that the crew packs to", "input": "which input of the measurement: a column or a setting", "method": "by which it was found", "found": "whether it is shown",
	"u_slope": "its standard uncertainty", "z": "slope over its uncertainty", "bags_loaded": "what the truck took along", "bags_left": "what it brought back", "bags_used": "bags that are in bays by the log",
	"jobs": "how many jobs", "sections": "how many sections", "filled": "bays that hold material", "close": "bays with that verdict", "add": "bays with that verdict", "measure": "bays with that verdict", "probe": "bays with that verdict",
	"not_filled": "bays in the log without material", "not_in_log": "bays that were counted and that nobody logged", "state": "how far it has come",
	"verdict": "the action it asks for; empty without material", "have": "what the job has", "want": "what the program asks for", "default": "what holds where nobody says otherwise; null for none", "answered_by": "what answers it",
	"innocent": "what may be behind it that is no fault", "carries": "which columns a row of it may carry", "used_for": "what it is used for", "where": "the way through the findings, or the place in the page",
	"limit_hi": "its upper limit", "limit_outer_hi": "its upper limit", "pass_rate_hi": "its upper end", "mean_density_hi": "its upper end", "short_share_hi": "its upper end",
	"close_of_reachable_hi": "its upper end", "per_year_hi": "its upper end", "mend": "bays to mend", "look": "bays to inspect", "ask": "bays to ask about", "kinds": "the same by how they stand",
	"queue": "who has to act: mend, look, ask", "setting": "the setting's name", "own": "the job's own value", "judged_at": "the value that it is judged at", "short": "found below the target",
	"confidence": "that a CLOSE needs", "rule": "the decision rule", "jobs_with_own_terms": "jobs whose own values differ", "inspector": "who looked",
}

// Meaning is that of a key or of a column wherever it stands; the reference pages have it too.
func Meaning(name string) string { return meanings[name] }

// key is a key of an object with the kind of its value.
type key struct {
	name string
	of   kind
}

// objectOf is an object of these keys and no other; those that begin with a question mark need not
// be there.
func objectOf(meaning string, keys ...key) kind {
	var properties Object
	required := []string{}
	for _, k := range keys {
		name, optional := strings.CutPrefix(k.name, "?")
		properties = append(properties, [2]any{name, explained(name, k.of)})
		if !optional {
			required = append(required, name)
		}
	}
	return append(typed(meaning, "object"), [2]any{"properties", properties}, [2]any{"required", required}, [2]any{"additionalProperties", false})
}

// explained is the schema of a key with what it means: what it says itself, else what it means
// everywhere.
func explained(name string, of kind) Object {
	said := func(part [2]any) bool { return part[0] == "description" }
	if i := slices.IndexFunc(of, said); i >= 0 && of[i][1] != "" {
		return Object(of)
	}
	out := slices.DeleteFunc(slices.Clone(Object(of)), said)
	if text := meanings[name]; text != "" {
		out = append(out, [2]any{"description", text})
	}
	return out
}

// figures, texts, words and counts are keys of one kind with what they mean, in a row.
func figures(keys ...string) []key { return keysOf(figureOf, keys) }
func texts(keys ...string) []key   { return keysOf(textOf, keys) }
func words(keys ...string) []key   { return keysOf(wordOrNot, keys) }
func counts(keys ...string) []key  { return keysOf(countOf, keys) }

// keysOf makes keys of one kind: each with what it means after it.
func keysOf(of func(string) kind, keys []string) (out []key) {
	for pair := range slices.Chunk(keys, 2) {
		out = append(out, key{pair[0], of(pair[1])})
	}
	return out
}

// anyData is the evidence of a finding.
func anyData() kind {
	return openObject("the evidence, in the job's units, by the keys that bayproof fields lists for the code")
}

// openObject is an object of which some keys are known, none of them need be there, and others may
// be.
func openObject(meaning string, keys ...key) kind {
	out := slices.DeleteFunc(objectOf(meaning, keys...), func(part [2]any) bool { return part[0] == "required" })
	out[len(out)-1] = [2]any{"additionalProperties", true} // as objectOf ends
	return out
}

// orNull lets an object be null too.
func orNull(of kind) kind {
	out := slices.Clone(of)
	out[0] = [2]any{"type", []string{"object", "null"}} // as typed begins
	return out
}

// journalKey is what came of setting a file beside its journal.
func journalKey(name, file string) key {
	return key{name, orNull(objectOf(file+" beside its journal; null: it has none", key{"rows", countOf("that were confirmed")}, key{"end", textOf("the chain's last sum, hex")},
		key{"agrees", yesNo(file + " holds all of them, as the journal has them")}, key{"gone", countOf("rows that " + file + " lacks")}, key{"changed", countOf("rows with other cells in " + file)},
		key{"besides", countOf("rows of " + file + " that the journal lacks: typed by hand, or by another program")}, key{"moved", yesNo("rows stand in another order")}, key{"accepted", countOf("changes that somebody accepted")}, key{"broken", typed("the line at which the journal's chain breaks: what it has from there on is not counted", "integer", "null")}))}
}

// orderOf is what is to be done about something, all null where nothing is.
func orderOf(meaning string) kind {
	data := slices.Concat(figures("mass", "blow: the least that closes it", "mass_most", "blow: from here on stop and look", "bags", "blow: the least in bags; recount: what is counted", "hole", "blow: where a new hole goes; null for the hole that is there",
		"places", "measure: how often", "until", "wait: bays filled then", "prob", "that it comes to CLOSE by that", "minutes", "what it takes, about"),
		[]key{{"at", listOf("look: where", figureOf(""))}, {"with", listOf("look: rod, hand, hole, core, smoke, ir", textOf(""))}},
		texts("way", "look: along or across; blow: how a hole is made", "what", "what is meant", "column", "say: the fact not logged yet", "dimension", "measure: which size", "section", "recount: of which section"))
	return objectOf(meaning, key{"action", wordOrNot("blow, look, say, measure, wait, recount, decide, fill or count; null for nothing")}, key{"text", wordOrNot("")},
		key{"data", openObject("with what, where and how much, by the action", data...)}, key{"log", wordOrNot("the prompt's line that reports it, _ where a figure or a word goes in")})
}

// checkSchema is a job's findings, as check and a record have them.
func checkSchema() kind {
	reasons := listOf("what speaks about it", objectOf("", slices.Concat(texts("code", "a code of bayproof fields", "text", "the sentence"),
		[]key{{"data", anyData()}}, words("answered", "the code of what answered it"))...))
	verdict := func(meaning string) kind { return wordOf(meaning, "CLOSE", "ADD", "MEASURE", "PROBE", "") }
	bay := slices.Concat(
		[]key{{"section", textOf("its section's name")}, {"bay", textOf("its name")}, {"lines", listOf("lines of the log that name it", countOf(""))},
			{"state", wordOf("how far it has come", "filled", "not-filled", "struck", "left", "closed")}, {"shared_with", listOf("bays that share its count", textOf(""))}},
		figures("volume", "", "mass", "", "bags", "as counted, or the mass over the bag weight", "density", "", "u_density", "its combined standard uncertainty", "dof", "effective degrees of freedom; null: unlimited",
			"density_lo", "expanded interval", "density_hi", "expanded interval", "level", "of the interval", "prob_measured", "P(density at the target or above) from its own measurement", "prob_at_target", "the probability that decides"),
		[]key{{"basis", wordOf("whose evidence it rests on", "own", "crew", "job", "")}, {"verdict", verdict("the action it asks for; null without material")}, {"verdict_when_closed", verdict("as it stood at its closing")},
			{"?verdict_today", verdict("what it would be now")}, {"?prob_today", figureOf("what it would be now")}, {"decided", objectOf("who closes it as it stands, and why; both null where nobody does", words("by", "initials", "note", "why")...)},
			{"reasons", reasons}, {"now", orderOf("what to do about it")},
			{"next_bay", objectOf("what would have settled it", key{"input", wordOrNot("what would be read or counted otherwise")}, key{"text", wordOrNot("")}, key{"prob", figureOf("that it would then be at the target")})}},
		figures("add_mass", "to the aim", "add_bags", "", "add_density", "what it then has", "empty_length", "if the rest is packed like the crew's others", "empty_length_lo", "", "empty_length_hi", "",
			"could_hide", "a longer gap would have read lower, 19 times in 20"),
		[]key{{"budget", listOf("shares of the variance", objectOf("", key{"input", textOf("")}, key{"share", figureOf("of 1")}))}},
	)
	section := slices.Concat([]key{{"section", textOf("")}, {"bays", countOf("filled")}, {"bays_expected", typed("null: nobody said", "integer", "null")}},
		figures("volume", "", "mass", "", "mass_required", "at the target", "bags", "", "bags_required", "", "density", "all material over all volume", "u_density", "", "prob_at_target", "", "mean", "of the bays' true densities", "sd", "from bay to bay", "lower_tolerance", "what nineteen in twenty exceed, at 90 %"),
		[]key{{"drift", objectOf("along the order of filling", append([]key{{"method", wordOrNot("")}, {"found", yesNo("")}}, figures("slope", "density a bay", "u_slope", "", "z", "")...)...)}, {"reasons", reasons}, {"now", orderOf("what to do about the whole section")}})
	var totals []key
	for _, name := range []string{"bays", "close", "add", "measure", "probe", "not_filled", "not_in_log", "closed_not_close", "?left", "?decided"} {
		totals = append(totals, key{name, countOf("bays")})
	}
	totals = slices.Concat(totals, []key{{"counts", wordOf("what the empties make of the counts", "confirmed", "contradicted", "unchecked")}, {"reasons", reasons}, {"now", orderOf("what to do about the whole job")}},
		figures("density_most", "mean that the empties allow at most", "volume", "", "mass", "", "mass_required", "", "bags", "", "bags_loaded", "", "bags_left", "", "bags_elsewhere", "left the truck and went into no bay, by the log", "bags_used", "went into the bays by loaded less left and elsewhere, or by the empties", "unaccounted_bags", "loaded less left less elsewhere less logged"))
	return objectOf("one job",
		schemaKey("check"), methodKey(), key{"text", textOf("digest of the sentences")}, key{"lang", textOf("of the sentences")},
		toolKey(),
		key{"job", objectOf("which job", texts("name", "", "date", "", "crew", "", "site", "")...)},
		inputsKey(),
		unitsKey("length", "volume", "mass", "density"),
		termsKey(),
		key{"settings", append(typed("by name: every setting that bayproof fields lists", "object"), [2]any{"additionalProperties", Object(settingSchema())})},
		key{"rule_used", wordOf("the rule that decided", "process", "guarded")},
		key{"bays", listOf("in the log's order", objectOf("", bay...))}, key{"sections", listOf("in the order of sections.csv, then of the log", objectOf("", section...))}, key{"totals", objectOf("the whole job", totals...)},
		journalKey("?journal", "the log"), journalKey("?core_journal", "cores.csv"),
		key{"warnings", listOf("what is worth knowing", objectOf("", slices.Concat(texts("code", "", "text", ""), placeKeys()[:2], words("section", "", "bay", ""), placeKeys()[2:])...))},
	)
}

// schemaKey is the key that names the document, methodKey the method that its figures come by,
// toolKey what wrote it, unitsKey the units of its figures.
func schemaKey(name string) key { return key{"schema", kind{{"const", SchemaName(name)}}} }
func methodKey() key            { return key{"method", countOf("rises when a figure can change")} }
func toolKey() key {
	return key{"tool", objectOf("what wrote it", texts("name", "", "version", "")...)}
}

// unitsKey names the unit of each quantity that a document has.
func unitsKey(names ...string) key {
	var keys []key
	for _, name := range names {
		keys = append(keys, key{name, textOf("unit of every " + name)})
	}
	return key{"units", objectOf("of its figures", keys...)}
}

// termsKey is the program's file that governed.
func termsKey() key {
	return key{"?terms", orNull(objectOf("the program's file whose terms governed; null: the job's own settings did", texts("file", "", "sha256", "")...))}
}

// planSchema is what a job will take, by bay and by section.
func planSchema() kind {
	way := objectOf("", slices.Concat(texts("code", "a way of counting", "counting", "ends, fresh or running"), figures("bag_step", "smallest part of a bag that is told apart", "weigh_within", "± of a weighed mass",
		"good_bays_closed", "share of the good bays that would be closed", "aim_for_eight_in_ten", "density to aim at that closes eight in ten", "more_material", "share more material for that"))...)
	section := objectOf("", slices.Concat(texts("section", "its name"), counts("bays", "planned", "sized", "with sizes of their own", "filled", "already"),
		figures("volume", "", "mass", "at the aim", "bags", "at the aim", "bags_used", "by the bays that are filled", "target", "", "aim", "", "mean", "of the packing that is expected", "sd", "from bay to bay"),
		[]key{{"from_log", yesNo("mean and sd come of the bays in the log")}}, figures("could_hide_min", "least empty length that a closed bay may hide", "could_hide_max", "most"),
		[]key{{"ways", listOf("ways of counting, each with what it would close", way)}})...)
	bay := objectOf("", slices.Concat(texts("section", "", "bay", ""), []key{{"state", wordOf("where its sizes come from", "filled", "measured", "typical")}},
		figures("volume", "", "u_volume", "standard uncertainty", "length", "", "mass", "at the aim", "bags", "at the aim", "look_from_bags", "from here on stop and look", "look_from_mass", "the same as a mass", "could_hide", "empty length that it may hide once closed"))...)
	constant := objectOf("", texts("name", "", "value", "as written", "unit", "", "source", "where it comes from", "use", "what for")...)
	return objectOf("what a job will take", slices.Concat([]key{schemaKey("plan"), methodKey(), toolKey(), {"job", textOf("its name")}, unitsKey("length", "volume", "mass", "density"), termsKey(),
		{"load", objectOf("what to load", figures("bags", "to have along in all", "bags_left_to_open", "to have along from now on", "bags_used", "", "bags_expected", "what it takes most likely", "u_bags", "standard uncertainty", "mass", "the load as a mass", "chance", "that the load is enough")...)},
		{"weigh_first", countOf("so many first bays are worth weighing")}, {"sections", listOf("each with what it takes", section)}, {"bays", listOf("in the order of filling", bay)}, {"not_planned", listOf("bays without sizes", textOf(""))},
		{"hold", listOf("bays to open", objectOf("", key{"section", textOf("")}, key{"place", countOf("in the order of filling, from 1")}, key{"bay", textOf("")}, key{"seed", countOf("of the draw")}))},
		{"cautions", listOf("that apply", textOf(""))}, {"assumptions", listOf("what it rests on besides the files", constant)}})...)
}

// tallyKeys are the figures of some bays in a review; of a group with its place in the funnel.
func tallyKeys(group bool) []key {
	out := slices.Concat(texts("name", ""), counts("jobs", "", "sections", "", "bays", "in the logs", "bays_expected", "counted", "filled", "", "close", "", "close_own", "by their own count", "close_crew", "with the crew's help",
		"add", "", "measure", "", "probe", "", "not_filled", "", "not_in_log", "", "left", "on purpose", "decided", "by a person", "closed", "by a row of the log", "closed_not_close", "against the verdict then", "closed_now_or_then_not_close", "against the verdict then or now", "bays_measured", "all sizes measured"),
		figures("expected_short", "Σ of the chances to be short, of bays weighed or blown to the stall"), counts("expected_short_of", "so many of them"), figures("reachable", "bays that this way of counting could show to be CLOSE, were all packed to the aim",
			"pass_rate", "CLOSE of the filled", "pass_rate_lo", "95 % interval, by which bays of a job stand or fall together", "pass_rate_hi", ""))
	if group {
		out = append(out, figures("mean_density", "of its bays, by a model of jobs in groups", "mean_density_lo", "95 % interval", "mean_density_hi", "", "mean_density_shrunk", "drawn to the mean of all groups",
			"limit_lo", "95 % limit for so many jobs, were all alike", "limit_hi", "", "limit_outer_lo", "99.8 % limit", "limit_outer_hi", "")...)
		out = append(out, key{"outside", typed("-2, -1, 1, 2: below or above the outer or inner limits", "integer")})
		out = append(out, figures("short_share", "of its bays expected below the target", "short_share_lo", "95 % interval", "short_share_hi", "")...)
		out = append(out, key{"short_outside", typed("as outside, for the share", "integer")})
		out = append(out, figures("close_of_reachable", "CLOSE of those that could be", "close_of_reachable_lo", "95 % interval", "close_of_reachable_hi", "")...)
	}
	return slices.Concat(out, figures("volume", "", "mass", "", "mass_required", "at the target", "bags", "", "density", "all material over all volume", "lower_tolerance", "lowest of the sections'"),
		counts("sections_lower_short", "whose lower tolerance limit is below the target", "sections_lower_known", "that have one"), figures("unaccounted_bags", "loaded less left less logged"))
}

// reviewSchema is many jobs: groups of them, their findings, the bays to inspect.
func reviewSchema() kind {
	groups := func(meaning string) kind { return listOf(meaning, objectOf("", tallyKeys(true)...)) }
	verdict := wordOf("the action it asks for; empty without material", "CLOSE", "ADD", "MEASURE", "PROBE", "")
	verdict[0] = [2]any{"enum", []string{"CLOSE", "ADD", "MEASURE", "PROBE", ""}}
	job := objectOf("", slices.Concat(tallyKeys(false), texts("crew", "", "site", "", "date", "", "input", "the folder or file"), words("record", "its record"), []key{
		{"by_section", listOf("the same by section", objectOf("", tallyKeys(false)...))},
		{"needs", needsSchema()}, {"expected_short_area", figureOf("Σ of face by the chance to be short")},
		{"open_bays", listOf("that need someone, the gravest first: at most forty of each state that is closed or decided, ten that are open; needs counts all", objectOf("", slices.Concat(texts("section", "", "bay", "", "state", ""), []key{{"verdict", verdict}}, figures("density", "", "prob_at_target", "today", "short", "by how much it reads below the target", "area", "of its face"), texts("by", "who closed, decided or filled it", "date", "when", "code", "what leads"))...))},
		{"close_by_own_terms", typed("bays that would be CLOSE by those; null: it has none", "integer", "null")}, {"programme_sha256", wordOrNot("of the program's terms beside its log; null: it has none")},
		{"made_from", objectOf("what the job is judged from", key{"settings", append(typed("by name: those that a verdict rests on and that are not the default; source terms: what this review judges by", "object"), [2]any{"additionalProperties", Object(settingSchema())})}, inputsKey())},
		{"own_terms", listOf("settings of its own that it is not judged by", objectOf("", texts("setting", "", "own", "", "judged_at", "")...))},
		{"way_of_counting", textOf("of most of its bays")},
		{"falling", objectOf("density along the order of filling", key{"sections", typed("in which it shows", "array", "null")}, key{"slope_per_bay", figureOf("all sections together")}, key{"z", figureOf("over its standard uncertainty")}, key{"found", yesNo("")})},
		{"missing_evidence", listOf("what the program asks for and the job lacks", objectOf("", slices.Concat(texts("ask", "its name"), figures("have", "", "want", ""), texts("text", "the sentence"))...))},
		{"inspected_bays", listOf("rows of inspections.csv", objectOf("", slices.Concat(texts("section", "", "bay", ""), []key{{"verdict", verdict}}, figures("prob_at_target", "stated"), texts("found", "full, short, empty, soft, not opened, hazard"), figures("density", "found"), []key{{"short", yesNo("")}, {"counts", yesNo("it says what is in the bay")}}, texts("inspector", "", "date", ""))...))},
		{"reader_warnings", listOf("what is worth knowing about its files", objectOf("", slices.Concat([]key{{"code", textOf("")}, {"text", textOf("")}}, placeKeys()[:2], []key{{"count", countOf("times")}}, placeKeys()[2:])...))},
	})...)
	return objectOf("many jobs", schemaKey("review"), methodKey(), toolKey(), unitsKey("density", "mass", "volume", "area"),
		key{"terms", objectOf("by which all jobs are judged", slices.Concat(words("file", "the program's; null: the usual values", "sha256", ""), figures("target", "", "confidence", ""), texts("rule", ""), counts("jobs_with_own_terms", "", "jobs_under_it", "whose folder or record has these very terms", "jobs_under_others", "has other ones", "jobs_under_none", "has none"), texts("text", "the sentence"))...)},
		key{"needs", needsSchema()},
		key{"totals", objectOf("all jobs", tallyKeys(false)...)}, key{"crews", groups("by crew")}, key{"section_kinds", groups("by kind of section")}, key{"months", groups("mean densities with the crews taken off")}, key{"ways_of_counting", groups("by way of counting")},
		key{"between_crews", figureOf("standard deviation of crews' mean densities")}, key{"between_jobs", figureOf("of a crew's jobs")},
		key{"drifts", listOf("of crews over the dates of their jobs", objectOf("", slices.Concat(texts("crew", ""), counts("jobs", ""), figures("days", "from the first to the last", "per_year", "density", "per_year_lo", "95 % interval", "per_year_hi", ""), []key{{"found", yesNo("beyond the outer limits")}})...))},
		key{"jobs", listOf("in the order in which they were read", job)},
		key{"looked_at", typed("pairs and rows that were set against each other, by what was looked for", "integer", "object", "array")}, key{"false_discovery_rate", figureOf("share of the findings that may be chance")},
		key{"findings", listOf("which accuse nobody", objectOf("", slices.Concat(texts("code", "", "crew", ""), []key{{"jobs", typed("names", "array", "null")}}, texts("text", "the sentence", "innocent", "what may be behind it"), figures("prob_honest", "chance of it among honest logs", "q", "false discovery rate at which it stands"), []key{{"data", anyData()}})...))},
		key{"inspections", append(typed("inspectors' findings against the verdicts; null where nobody inspected a bay", "object", "null"), [2]any{"properties", Object{}})},
		key{"plan", typed("bays to open, what they were drawn from, and what finding none bad proves; null where none were asked for", "object", "null")},
		key{"not_read", listOf("inputs with faults", objectOf("", key{"place", textOf("the input, and the job in it")}, key{"faults", listOf("the first ones", objectOf("", append([]key{{"text", textOf("what is wrong")}, {"hint", wordOrNot("what to type")}}, placeKeys()...)...))}, key{"more_faults", countOf("beyond those")}))},
		key{"since", append(typed("what changed since the review of --compare; null without it", "object", "null"), [2]any{"properties", Object{}})},
	)
}

// settingSchema is the value of one setting.
func settingSchema() kind {
	return objectOf("", key{"value", typed("a number, a word, a list of numbers", "number", "string", "array", "null")}, key{"unit", wordOrNot("")}, key{"source", textOf("where it comes from")})
}

// inputsKey are the digests of a job's files.
func inputsKey() key {
	return key{"inputs", listOf("files that were read", objectOf("", texts("file", "", "sha256", "")...))}
}

// needsSchema are the bays that somebody has to see to.
func needsSchema() kind {
	return objectOf("bays that somebody has to see to", slices.Concat(counts("mend", "", "look", "", "ask", ""), []key{{"kinds", listOf("", objectOf("", slices.Concat(texts("state", "how they stand"), []key{{"queue", wordOf("", "mend", "look", "ask")}}, counts("bays", "how many"), figures("area", "of their faces"))...))}})...)
}

// fieldsSchema is the manual of columns, settings, entries and codes.
func fieldsSchema() kind {
	return objectOf("columns, settings, entries and codes", schemaKey("fields"), key{"job", wordOrNot("whose settings are shown")},
		key{"columns", listOf("of the job's files", objectOf("", texts("file", "", "name", "", "unit", "of a bare number", "meaning", "")...))},
		key{"settings", listOf("of job.csv and sections.csv", objectOf("", slices.Concat(texts("name", ""), words("section", "that has it for itself", "default", ""), texts("meaning", ""), words("value", "", "source", "where it comes from"))...))},
		key{"entries", listOf("words of the column entry", objectOf("", texts("name", "", "carries", "", "meaning", "")...))},
		key{"codes", listOf("of reasons, warnings and findings", objectOf("", slices.Concat(texts("code", "", "kind", "", "meaning", ""), words("answered_by", "", "innocent", ""), []key{{"data", typed("keys of its evidence", "string", "array", "null")}}, texts("source", ""))...))},
	)
}

// constantsSchema is what fields --constants --format json prints: every constant with its source.
func constantsSchema() kind {
	constant := objectOf("", texts("kind", "process, measurement or plan", "name", "", "value", "as written", "unit", "", "used_for", "", "source", "where it comes from")...)
	return objectOf("what figures rest on besides the files", schemaKey("constants"), methodKey(), key{"constants", listOf("each with its source", constant)})
}

// recheckSchema is one record set against what comes of its files.
func recheckSchema() kind {
	outcome := wordOf("what came of it", "holds", "differs", "not fully checked")
	return objectOf("what was found about one record",
		schemaKey("recheck"), key{"record", textOf("the file")}, key{"outcome", outcome}, key{"method", countOf("by which figures are computed here")}, key{"job", textOf("")},
		key{"written_by", objectOf("what wrote the record, by its own word", texts("name", "", "version", "", "arch", "processor family")...)},
		key{"record_method", countOf("by which the record's figures were computed; 0: no number")}, key{"sha256", textOf("the digest that it states")},
		key{"changes", listOf("what happened to the file", textOf(""))},
		key{"checks", listOf("in their order", objectOf("", key{"check", textOf("bytes, files, figures, page, signature; in CSV also record for the whole, and the part that differs")}, key{"result", outcome}, key{"text", textOf("")}))},
		key{"differences", listOf("all of them, verdicts first", objectOf("", key{"part", wordOf("what it is about", "verdict", "headline", "section", "bay", "rest")}, key{"where", textOf("")}, key{"stated", textOf("what the record says")}, key{"now", textOf("what comes of its files")}))},
		key{"signed_by", listOf("names of the signers whose signature holds", textOf(""))}, key{"note", textOf("what a digest does not prove")},
	)
}
