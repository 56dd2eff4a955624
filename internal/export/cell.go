package export

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"setshade/internal/plaintext"
	"setshade/internal/wax"
)

// cell is one value of a row, tied to its place in a noun.
type cell struct {
	// text marks a value that is a string in JSON, and guarded in CSV.
	text bool
	// write returns the value as text, "" for what is not known; read is its
	// inverse.
	write func() string
	read  func(string) error
}

func text[T ~string](at *T) cell {
	return cell{true, func() string { return string(*at) }, func(s string) error { *at = T(plaintext.Clean(s)); return nil }}
}

// printName is the name of a print. In an export from before prints had numbers the
// version of the layout stands in its place, and all cards were print 1.
func printName(at *string) cell {
	c := text(at)
	c.read = func(s string) error {
		*at = strings.Replace(s, " version 1", " print 1", 1)
		return nil
	}
	return c
}

func number(at *float64) cell {
	return cell{false, func() string { return strconv.FormatFloat(*at, 'g', -1, 64) }, func(s string) (err error) {
		if *at, err = strconv.ParseFloat(s, 64); err != nil || *at-*at != 0 { // NaN and infinities
			return fmt.Errorf("%.20q is not a number", s)
		}
		return nil
	}}
}

func whole[T int | int64](at *T) cell {
	return cell{false, func() string { return strconv.FormatInt(int64(*at), 10) }, func(s string) error {
		v, err := strconv.ParseInt(s, 10, 64)
		if err != nil {
			return fmt.Errorf("%.20q is not a whole number", s)
		}
		*at = T(v)
		return nil
	}}
}

func yes(at *bool) cell {
	return cell{false, func() string { return strconv.FormatBool(*at) }, func(s string) (err error) {
		if *at = s == "true"; !*at && s != "false" {
			return fmt.Errorf("%.20q is neither true nor false", s)
		}
		return nil
	}}
}

func moment(at *time.Time) cell {
	return cell{true, func() string { return at.UTC().Format(time.RFC3339Nano) }, func(s string) (err error) {
		if *at, err = time.Parse(time.RFC3339Nano, s); err != nil {
			return fmt.Errorf("%.40q is not a time such as 2025-03-04T12:30:00Z", s)
		}
		*at = at.UTC()
		return nil
	}}
}

// texts are a list, as a JSON array.
func texts(at *[]string) cell {
	return cell{false, func() string { return jsonOf(append([]string{}, *at...)) }, func(s string) error {
		if err := json.Unmarshal([]byte(s), at); err != nil {
			return fmt.Errorf("%.20q is not a list of texts in JSON", s)
		}
		if len(*at) == 0 {
			*at = nil
		}
		for i, text := range *at {
			(*at)[i] = plaintext.Clean(text)
		}
		return nil
	}}
}

// patches are the colours of a strip, as a JSON array of [L*, a*, b*] with null for
// one that could not be read.
func patches(at *wax.Strip) cell {
	return cell{false, func() string { return jsonOf(at) }, func(s string) error {
		if err := json.Unmarshal([]byte(s), at); err != nil {
			return fmt.Errorf("%.20q is not a list of [L*, a*, b*] in JSON", s)
		}
		return nil
	}}
}

// maybe is a cell of something that need not be there: empty while *at is nil.
// All cells of it are empty together.
func maybe[S any](at **S, of func(*S) cell) cell {
	var zero S
	return cell{of(&zero).text, func() string {
		if *at == nil {
			return ""
		}
		return of(*at).write()
	}, func(s string) error {
		if s == "" {
			return nil
		}
		if *at == nil {
			*at = new(S)
		}
		return of(*at).read(s)
	}}
}

// positive is a number that is empty for 0, which stands for nothing.
func positive[T int | int64](at *T) cell {
	c := whole(at)
	return cell{false, func() string {
		if *at == 0 {
			return ""
		}
		return c.write()
	}, func(s string) error {
		if s == "" {
			*at = 0
			return nil
		}
		return c.read(s)
	}}
}

// jsonOf writes as JSON what cannot fail to be written.
func jsonOf(v any) string {
	out, err := json.Marshal(v)
	if err != nil {
		panic("export: " + err.Error())
	}
	return string(out)
}
