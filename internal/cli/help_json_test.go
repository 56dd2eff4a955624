package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// answered refuses an answer in JSON that no shape of its command tells.
func answered(args []string, output string) error {
	cmd, _, err := New(Env{Stdout: io.Discard, Stderr: io.Discard}).Find(args)
	if err != nil {
		return err
	}
	var answer any
	if err := json.Unmarshal([]byte(output), &answer); err != nil {
		return err
	}
	path := strings.TrimPrefix(cmd.CommandPath(), "setshade ")
	found := fmt.Errorf("setshade help json has nothing of %s", path)
	for _, r := range jsonResults {
		if !slices.Contains(commandsOf(r.commands), path) {
			continue
		}
		if found = held(path, reflect.TypeOf(r.shape), answer); found == nil {
			return nil
		}
	}
	return found
}

// commandsOf spells out the commands of a row: "a|b c|d" are four of them.
func commandsOf(row string) []string {
	row, _, _ = strings.Cut(row, " --")
	group, names, deep := strings.Cut(row, " ")
	var all []string
	for _, g := range strings.Split(group, "|") {
		if !deep {
			all = append(all, g)
			continue
		}
		for _, name := range strings.Split(names, "|") {
			all = append(all, g+" "+name)
		}
	}
	return all
}

// held compares a value with its shape: no field more and none less.
func held(at string, t reflect.Type, v any) error {
	refused := fmt.Errorf("%s is %.60v, and told as %s", at, v, t)
	if t.Kind() != reflect.Pointer {
		t = formed(t)
	}
	if v == nil {
		if t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
			return nil
		}
		return refused
	}
	switch {
	case t.Kind() == reflect.Pointer:
		return held(at, t.Elem(), v)
	case t == reflect.TypeFor[time.Time]() || t.Kind() == reflect.String:
		if _, is := v.(string); !is {
			return refused
		}
	case t.Kind() == reflect.Bool:
		if _, is := v.(bool); !is {
			return refused
		}
	case t.Kind() == reflect.Slice || t.Kind() == reflect.Array:
		list, is := v.([]any)
		if !is {
			return refused
		}
		var err error
		for i, one := range list {
			err = errors.Join(err, held(fmt.Sprintf("%s[%d]", at, i), t.Elem(), one))
		}
		return err
	case t.Kind() == reflect.Struct:
		object, is := v.(map[string]any)
		if !is {
			return refused
		}
		left := maps.Clone(object)
		err := heldFields(at, t, left)
		if len(left) > 0 {
			err = errors.Join(err, fmt.Errorf("%s has fields that nothing tells: %v", at, slices.Sorted(maps.Keys(left))))
		}
		return err
	default:
		if _, is := v.(float64); !is {
			return refused
		}
	}
	return nil
}

func heldFields(at string, t reflect.Type, left map[string]any) (err error) {
	for _, f := range fieldsOf(t) {
		v, there := left[f.name]
		if !there {
			err = errors.Join(err, fmt.Errorf("%s has no %s, which is told", at, f.name))
			continue
		}
		delete(left, f.name)
		err = errors.Join(err, held(at+"."+f.name, f.of, v))
	}
	return err
}

// Every command that answers stands on the page of shapes.
func TestEveryAnswerInJSONIsTold(t *testing.T) {
	var all []string
	for _, r := range jsonResults {
		all = append(all, commandsOf(r.commands)...)
	}
	var visit func(*cobra.Command)
	visit = func(c *cobra.Command) {
		path := strings.TrimPrefix(c.CommandPath(), "setshade ")
		if path == "completion" || path == "help" || c.IsAdditionalHelpTopicCommand() {
			return
		}
		if c.Flags().Lookup("json"); !c.HasSubCommands() || slices.Contains(all, path) {
			assert.Contains(t, all, path)
		}
		for _, sub := range c.Commands() {
			visit(sub)
		}
	}
	visit(New(newBench(t).env))
	assert.NotContains(t, helpJSON(), "%!")
}

// The page tells a shade where it stands and once what is in it.
func TestThePageOfShapes(t *testing.T) {
	b := newBench(t)
	require.Equal(t, 0, b.run("help", "json"))
	page := strings.Join(strings.Fields(b.out.String()), " ")
	assert.Contains(t, page, "predict: forecast")
	assert.Contains(t, page, "part: dye text, g_per_kg number")
	assert.Contains(t, page, "forecast: wax text, dose [part], piece shade, drop shade, notes [text] ")
	assert.Equal(t, 1, strings.Count(page, " shade: within_95_de00"))
}

// An answer that lost a field, has one more, or another kind of value is found.
func TestAnAnswerIsHeldAgainstItsShape(t *testing.T) {
	whole := `{"name": "Hearts", "cavities": 12, "cavity_ml": 15, "volume_ml": 180}`
	require.NoError(t, answered([]string{"mould", "show", "Hearts", "--json"}, whole))
	for _, bad := range []string{
		strings.Replace(whole, `"volume_ml": 180`, `"more": 1`, 1), strings.Replace(whole, `12`, `"12"`, 1),
		strings.Replace(whole, `15`, `null`, 1), `[]`, `{"name": "Hearts"}`,
	} {
		assert.Error(t, answered([]string{"mould", "show", "Hearts", "--json"}, bad), bad)
	}
}
