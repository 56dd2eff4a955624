package cli

import (
	"io"
	"reflect"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// jsonResults are the shapes of what commands answer with --json: for commands of a
// group, its name and theirs. A test holds every answer of the scripts against them.
var jsonResults = []struct {
	commands string
	shape    any
}{
	{"wax add|change|show", waxJSON{}}, {"wax list", listOf[waxJSON]("waxes")},
	{"dye add|change|show", wax.Dye{}}, {"dye list", listOf[wax.Dye]("dyes")},
	{"mould add|change|show", mouldJSON{}}, {"mould list", listOf[mouldJSON]("moulds")},
	{"wax|dye|mould remove", removedJSON{}},
	{"card", cardFileJSON{}}, {"card anchor|reference", stripsJSON{}},
	{"record", recordJSON{}},
	{"swatch show", shownSwatchJSON{}}, {"swatch list", listOf[swatchJSON]("swatches")},
	{"swatch change|keep|use|remove", changedJSON{}}, {"swatch reread", rereadJSON{}},
	{"learn", lessonJSON{}}, {"next", workshop.NextDrops{}}, {"predict", workshop.Forecast{}}, {"check", potCheckJSON{}},
	{"rescue", remedyJSON{}}, {"rescue continue|show|back|outcome", remedyJSON{}}, {"rescue list", listOf[keptRescueJSON]("rescues")},
	{"lot", lotChangeJSON{}}, {"lot --drift", lotChartJSON{}},
	{"match", matchedJSON{}}, {"ladder", tintsJSON{}}, {"blend", blendJSON{}},
	{"batch", batchPlanJSON{}}, {"batch log|show|change", loggedJSON{}}, {"batch list", listOf[loggedJSON]("batches")},
	{"batch|stock|rescue remove", changedJSON{}},
	{"report dye|shelf|batch", reportJSON{}},
	{"stock add|change|show", stockJSON{}}, {"stock list", listOf[stockJSON]("stocks")}, {"stock use", stockUsedJSON{}},
	{"store check", checkupJSON{}}, {"store backup", backupJSON{}}, {"store export|import", movedJSON{}},
	{"undo", undoneJSON{}}, {"undo --dry-run", lastChangeJSON{}},
	{"serve", openPageJSON{}}, {"demo", demoJSON{}},
	{"version", versionJSON{}}, {"version --licences", licencesJSON{}},
}

// listOf is the shape of a list: an object with one array in it.
func listOf[T any](name string) any {
	tag := reflect.StructTag(`json:"` + name + `"`)
	return reflect.Zero(reflect.StructOf([]reflect.StructField{{Name: "List", Type: reflect.TypeFor[[]T](), Tag: tag}})).Interface()
}

const helpJSONLead = `With --json a result is one JSON object, and these are the fields of each. In
square brackets stands what a list holds; what may be null has a question mark.
Masses are in g, doses in g/kg of undyed wax, and de00 are differences by
CIEDE2000. A field may be added; none is renamed or removed. An error is an object
with error, do and try on standard error.
`

// newHelpJSON is a topic of help on the shapes of results.
func newHelpJSON() *cobra.Command {
	cmd := &cobra.Command{Use: "json", Short: "What results hold with --json", Long: helpJSONLead}
	cmd.SetHelpFunc(func(cmd *cobra.Command, _ []string) { io.WriteString(cmd.OutOrStdout(), helpJSON()) })
	return cmd
}

func helpJSON() string {
	var page, parts strings.Builder
	page.WriteString(helpJSONLead)
	done := map[reflect.Type]bool{}
	var waiting []reflect.Type
	for _, r := range jsonResults {
		page.WriteString("\n" + strings.TrimSuffix(report.Wrap("  ", r.commands+": "+wordOf(reflect.TypeOf(r.shape), &waiting)), "\n"))
	}
	for len(waiting) > 0 {
		t := waiting[0]
		waiting = waiting[1:]
		if !done[t] {
			done[t] = true
			parts.WriteString("\n" + report.Wrap("  ", shapeName(t)+": "+fieldWords(t, &waiting)))
		}
	}
	return page.String() + "\n" + parts.String()
}

// told is a field as JSON has it: as a pointer where it may be null.
type told struct {
	name, means string
	of          reflect.Type
}

// fieldsOf are the fields that shaped tells of a struct.
func fieldsOf(t reflect.Type) (all []told) {
	var inner []reflect.Type
	for i := range t.NumField() {
		f := t.Field(i)
		name, option, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case option == "inline" || f.Anonymous && name == "":
			inner = append(inner, f.Type)
		case name != "" && name != "-":
			if f.Tag.Get("zero") == "null" {
				f.Type = reflect.PointerTo(f.Type)
			}
			all = append(all, told{name, f.Tag.Get("means"), f.Type})
		}
	}
	for _, t := range inner {
		for _, f := range fieldsOf(t) {
			if !slices.ContainsFunc(all, func(there told) bool { return there.name == f.name }) {
				all = append(all, f)
			}
		}
	}
	return all
}

// formed is what JSON has in the place of a type.
func formed(t reflect.Type) reflect.Type {
	if of := forms[t]; of != nil {
		if form := reflect.TypeOf(of(reflect.Zero(t))); form != t {
			return formed(form)
		}
	}
	return t
}

// fieldWords tells the fields of a shape; the shapes within it then wait to be told.
func fieldWords(t reflect.Type, waiting *[]reflect.Type) string {
	var words []string
	for _, f := range fieldsOf(t) {
		word := f.name + " " + wordOf(f.of, waiting)
		if f.means != "" {
			word += " (" + f.means + ")"
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}

// wordOf says what a value is.
func wordOf(t reflect.Type, waiting *[]reflect.Type) string {
	if t.Kind() == reflect.Pointer {
		return strings.TrimSuffix(wordOf(t.Elem(), waiting), "?") + "?"
	}
	t = formed(t)
	switch {
	case t == reflect.TypeFor[time.Time]():
		return "time"
	case t.Kind() == reflect.Pointer:
		return wordOf(t, waiting)
	case t.Kind() == reflect.Slice || t.Kind() == reflect.Array:
		return "[" + wordOf(t.Elem(), waiting) + "]"
	case t.Kind() == reflect.String:
		return "text"
	case t.Kind() == reflect.Bool:
		return "yes/no"
	case t.Kind() != reflect.Struct:
		return "number"
	case t.Name() == "":
		return "{" + fieldWords(t, waiting) + "}"
	}
	if !slices.Contains(*waiting, t) {
		*waiting = append(*waiting, t)
	}
	return shapeName(t)
}

// shapeName is the name of a shape as words.
func shapeName(t reflect.Type) string {
	var name strings.Builder
	for _, r := range strings.TrimSuffix(t.Name(), "JSON") {
		if r >= 'A' && r <= 'Z' {
			name.WriteByte('-')
			r += 'a' - 'A'
		}
		name.WriteRune(r)
	}
	return strings.TrimPrefix(name.String(), "-")
}
