package export

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
)

// formatVersion is raised when a table changes.
const formatVersion = 1

// writeJSON writes all tables as one object: {"setshade_export": 1, "waxes":
// [{"name": …}, …], …}. A row is a line; what is not known is null.
func writeJSON(tables []sheet) []byte {
	var out bytes.Buffer
	fmt.Fprintf(&out, "{\"setshade_export\": %d", formatVersion)
	for _, s := range tables {
		names, _ := s.header()
		fmt.Fprintf(&out, ",\n%q: [", s.name())
		for i := range s.size() {
			between := "\n  {"
			if i > 0 {
				between = ",\n  {"
			}
			for j, c := range s.row(i) {
				fmt.Fprintf(&out, "%s%q: %s", between, names[j], valueJSON(c))
				between = ", "
			}
			out.WriteString("}")
		}
		out.WriteString("]")
	}
	out.WriteString("}\n")
	return out.Bytes()
}

func valueJSON(c cell) string {
	value := c.write()
	switch {
	case c.text:
		return jsonOf(value)
	case value == "":
		return "null"
	}
	return value
}

// readJSON adds the rows of a file to the tables.
func readJSON(tables []sheet, data []byte) error {
	var all map[string]json.RawMessage
	if err := json.Unmarshal(data, &all); err != nil {
		return err
	}
	var version int
	if err := json.Unmarshal(all["setshade_export"], &version); err != nil || version != formatVersion {
		return fmt.Errorf("it is not an export of version %d, which is the one known here", formatVersion)
	}
	for _, s := range tables {
		if all[s.name()] == nil && later[s.name()] {
			continue
		}
		var list []map[string]json.RawMessage
		if err := json.Unmarshal(all[s.name()], &list); err != nil {
			return fmt.Errorf("the list %s is missing or is no list of rows", s.name())
		}
		for i, object := range list {
			if err := fillJSON(s, object); err != nil {
				return fmt.Errorf("%s, row %d, %w", s.name(), i+1, err)
			}
		}
	}
	return nil
}

func fillJSON(s sheet, object map[string]json.RawMessage) error {
	names, _ := s.header()
	if name := missing(s, func(name string) bool { return object[name] != nil }); name != "" {
		return fmt.Errorf("column %s is missing", name)
	}
	texts, values := s.texts(), map[string]string{}
	for name, raw := range object {
		if !slices.Contains(names, name) {
			return fmt.Errorf("there is no column %.40q", name)
		}
		value := string(raw)
		switch {
		case texts[name]:
			if err := json.Unmarshal(raw, &value); err != nil {
				return fmt.Errorf("column %s is not a text", name)
			}
		case value == "null":
			value = ""
		}
		values[name] = value
	}
	return fill(s, values)
}
