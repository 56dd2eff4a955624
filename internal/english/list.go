package english

import (
	"fmt"
	"strings"
)

// And names all: "a", "a and b", "a, b and c"; "" for none.
func And(names []string) string { return listed(names, " and ") }

// Or names what may be chosen from: "a", "a or b", "a, b or c"; "" for none.
func Or(names []string) string { return listed(names, " or ") }

// listed puts the word before the last of the names, and commas before the others.
func listed(names []string, word string) string {
	last := len(names) - 1
	if last < 1 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:last], ", ") + word + names[last]
}

// AndMore is And that names at most so many and counts the rest: "a, b and 3 more".
// Shown is at least 1.
func AndMore(names []string, shown int) string {
	if len(names) <= shown {
		return And(names)
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:shown], ", "), len(names)-shown)
}
