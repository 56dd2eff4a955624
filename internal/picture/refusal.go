package picture

import "fmt"

// Refusal is a photograph that cannot be trusted: what is wrong with it, and
// what the maker can do.
type Refusal struct {
	What  string // one plain sentence without full stop
	Do    string // the advice, likewise
	Cause error  // the cause inside, if any
}

// Error returns what is wrong and what to do in one line.
func (r *Refusal) Error() string { return r.What + "; " + r.Do }

// Unwrap returns the cause, nil when the picture itself is at fault.
func (r *Refusal) Unwrap() error { return r.Cause }

// Refuse makes a Refusal of an advice, which stands as it is, and of what is wrong,
// which is a format with its values.
func Refuse(do, what string, args ...any) *Refusal {
	return &Refusal{What: fmt.Sprintf(what, args...), Do: do}
}
