package cmd

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"bayproof/model"
)

// settingAnnotation marks the flags that are settings, so that the help lists them apart.
const settingAnnotation = "setting"

// settingFlags are the settings of job.csv as flags of one command.
type settingFlags struct{ flags *pflag.FlagSet }

// attachSettings gives the command a flag for every setting: bag_weight is --bag-weight.
func attachSettings(cmd *cobra.Command) settingFlags {
	s := settingFlags{cmd.Flags()}
	for _, def := range model.SettingDefs() {
		s.flags.String(def.Flag(), "", def.Meaning)
		_ = s.flags.SetAnnotation(def.Flag(), settingAnnotation, []string{def.Name})
		_ = cmd.RegisterFlagCompletionFunc(def.Flag(), completeSetting(def))
	}
	return s
}

// given returns the settings that stand on the command line, by their name in job.csv.
func (s settingFlags) given() map[string]string {
	given := map[string]string{}
	s.flags.Visit(func(f *pflag.Flag) {
		if names := f.Annotations[settingAnnotation]; len(names) == 1 {
			given[names[0]] = f.Value.String()
		}
	})
	return given
}
