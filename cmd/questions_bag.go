package cmd

import (
	"fmt"
	"strings"

	"bayproof/model"
)

// units is the system that bare figures are in.
func (q *questions) units() model.System {
	u, _ := model.ParseSystem(q.values["units"])
	return u
}

// bag asks for the weight of a bag: the label's, which is net, or weighed ones, with or without their wrapper.
func (q *questions) bag() {
	if q.o.settings["bag_weight"] != "" || q.o.settings["bag_checks"] != "" {
		return
	}
	fallback := q.values["bag_weight"]
	ask, why := "net weight of a bag by its label, or bags you weighed as in 25.3; 25.1; 25.2", "pounds come from bags; Enter leaves it open"
	for {
		answer := q.line(ask, why, fallback)
		name := "bag_weight"
		if strings.Contains(answer, ";") {
			name = "bag_checks"
		}
		if answer == "" {
			return
		}
		if bad := q.refused(name, answer); bad != nil {
			q.complain(bad)
			if q.over {
				return
			}
			continue
		}
		q.wrapper(name, q.withUnit(answer))
		return
	}
}

// withUnit adds the unit to a bare weight, so that the file says it.
func (q *questions) withUnit(weight string) string {
	if strings.Trim(weight, "0123456789./;- ") == "" {
		return weight + " " + q.units().Unit(model.ShowMass).Symbol
	}
	return weight
}

// wrapper asks whether the weight holds the wrapper; a single weighed bag with its wrapper becomes a check with a tare.
func (q *questions) wrapper(name, weight string) {
	tare := ""
	if q.values["bag_tare"] == "" && q.o.settings["bag_tare"] == "" {
		tare = q.line("weighed with its wrapper? then what the wrapper weighs", "only what is blown counts; a label's weight is net", "no")
	}
	if a, ok := model.ParseAnswer(tare); tare != "" && !(ok && a == model.No) {
		if bad := q.refused("bag_tare", tare); bad != nil {
			q.complain(bad)
		} else {
			name = "bag_checks"
			q.values["bag_tare"] = q.withUnit(tare)
			delete(q.values, "bag_weight")
		}
	}
	q.values[name] = weight
}

// marks asks what part of a bag the crew can tell.
func (q *questions) marks() {
	if q.o.settings["bag_step"] != "" {
		return
	}
	fallback := "no"
	if s := q.values["bag_step"]; s == "1/4" || s == "0.25" {
		fallback = "yes"
	}
	answer := q.line("marks inside the hopper, to read a quarter of a bag", "without marks nobody reads less than half a bag", fallback)
	a, ok := model.ParseAnswer(answer)
	switch {
	case ok && a == model.Yes:
		q.values["bag_step"] = "1/4"
	case !ok && q.refused("bag_step", answer) == nil:
		q.values["bag_step"] = answer
	default:
		q.values["bag_step"] = "1/2"
	}
}

// counting asks how a bay's count starts.
func (q *questions) counting() {
	if q.o.settings["counting"] != "" {
		return
	}
	fallback := q.values["counting"]
	if fallback == "" {
		fallback = "ends"
	}
	for {
		answer := q.line("does each bay start from a full hopper (fresh), run on from the last one (running), or are start and end read (ends)",
			"says what a count is worth", fallback)
		if c, ok := model.ParseCounting(answer); ok {
			q.values["counting"] = c.String()
			return
		}
		fmt.Fprintln(q.o.env.Stdout, "  fresh, running or ends")
		if q.over {
			return
		}
	}
}
