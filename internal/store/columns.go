package store

import (
	"database/sql/driver"
	"encoding/json"
	"fmt"
	"time"

	"setshade/internal/wax"
)

// utcText is a time as RFC 3339 text in UTC, to the nanosecond. All such texts
// have one length, so that their order is the order of the times.
type utcText time.Time

const utcLayout = "2006-01-02T15:04:05.000000000Z"

// Value writes the time.
func (t utcText) Value() (driver.Value, error) { return time.Time(t).UTC().Format(utcLayout), nil }

// Scan reads the time.
func (t *utcText) Scan(value any) error {
	text, ok := value.(string)
	if !ok {
		return fmt.Errorf("a time is stored as %T", value)
	}
	parsed, err := time.Parse(utcLayout, text)
	*t = utcText(parsed)
	return err
}

// textList is a list of texts as a JSON array.
type textList []string

// Value writes the list.
func (l textList) Value() (driver.Value, error) {
	if l == nil {
		return "[]", nil
	}
	array, err := json.Marshal([]string(l))
	return string(array), err
}

// Scan reads the list; the empty list is nil.
func (l *textList) Scan(value any) error {
	text, ok := value.(string)
	if !ok {
		return fmt.Errorf("a list is stored as %T", value)
	}
	*l = nil
	if text == "[]" {
		return nil
	}
	return json.Unmarshal([]byte(text), (*[]string)(l))
}

// idList is a set of ids as a JSON array, to be opened by json_each: one
// parameter, however many ids.
type idList []int64

// Value writes the list.
func (l idList) Value() (driver.Value, error) {
	array, err := json.Marshal([]int64(l))
	return string(array), err
}

// strip is a wax.Strip as a JSON array of [L*, a*, b*], null for a patch that is
// not finite. The empty strip is nil.
type strip wax.Strip

// Value writes the strip.
func (s strip) Value() (driver.Value, error) {
	array, err := json.Marshal(wax.Strip(s))
	return string(array), err
}

// Scan reads the strip.
func (s *strip) Scan(value any) error {
	text, ok := value.(string)
	if !ok {
		return fmt.Errorf("a strip is stored as %T", value)
	}
	return json.Unmarshal([]byte(text), (*wax.Strip)(s))
}
