package cmd

import (
	"fmt"

	"github.com/spf13/cobra"

	"bayproof/report/review"
)

// tableFlag attaches --table.
func tableFlag(cmd *cobra.Command, name *string) {
	cmd.Flags().StringVar(name, "table", "", "one `TABLE` as CSV, for a spreadsheet")
	var names []string
	for _, t := range review.Tables() {
		names = append(names, t.Name+"\t"+t.Means)
	}
	_ = cmd.RegisterFlagCompletionFunc("table", cobra.FixedCompletions(names, cobra.ShellCompDirectiveNoFileComp))
}

// tableHelp lists the tables.
func tableHelp() string {
	text := "\n--table NAME gives one of these as CSV, the job first in every row:\n"
	for _, t := range review.Tables() {
		text += fmt.Sprintf("  %-20s %s\n", t.Name, t.Means)
	}
	return text
}

// chooseTable finds the table that was asked for, and refuses one that would be empty for want of a flag.
func (o *reviewOptions) chooseTable(formatGiven bool) error {
	if o.tableName == "" {
		o.table = review.Tables()[0]
		return nil
	}
	if formatGiven && o.format != formatCSV {
		return usageErrorf("leave --format out, or say --format csv", "--table %s is CSV, not %s", o.tableName, o.format)
	}
	o.format = formatCSV
	for _, t := range review.Tables() {
		if t.Name == o.tableName {
			o.table = t
			return o.tableNeeds(t)
		}
	}
	return usageErrorf("", "--table %s: one of %s", o.tableName, review.TableNames())
}

func (o *reviewOptions) tableNeeds(t review.Table) error {
	switch {
	case t.Needs == "inspect" && o.inspect == 0:
		return usageErrorf("say --inspect N too", "--table %s: no bay is drawn", t.Name)
	case t.Needs == "plausibility" && o.figures:
		return usageErrorf("leave --figures out", "--table %s: plausibility is not looked at", t.Name)
	case t.Needs == "settings" && !o.audit.Asks.Any():
		return usageErrorf("name a programme's settings with ask_ rows: --settings FILE", "--table %s: no evidence is asked for", t.Name)
	}
	return nil
}
