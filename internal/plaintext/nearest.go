package plaintext

import "strings"

// Nearest returns the known name most likely meant by a mistyped one, or
// "" when none is near: at most a third of its letters may differ. Distance
// counts letters added, dropped and changed (Levenshtein 1966), capitals
// aside.
func Nearest(name string, known []string) string {
	best, bestDistance := "", len([]rune(name))/3+1
	for _, k := range known {
		if d := editDistance(strings.ToLower(name), strings.ToLower(k)); d < bestDistance {
			best, bestDistance = k, d
		}
	}
	return best
}

func editDistance(a, b string) int {
	from, to := []rune(a), []rune(b)
	row := make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i, f := range from {
		diagonal := row[0]
		row[0] = i + 1
		for j, t := range to {
			change := diagonal
			if f != t {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(to)]
}
