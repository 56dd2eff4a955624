package english

import "fmt"

// Plural is the word that goes with a count: one for 1, many for all others, 0
// among them.
func Plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// Count is a count with its word: "1 drop", "0 drops".
func Count(n int, one, many string) string { return fmt.Sprintf("%d %s", n, Plural(n, one, many)) }
