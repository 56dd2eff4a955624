package report

// Checkup writes what a check of the store at a path found.
func Checkup(path string, photographs, swatches, batches int, problems, strays []string) string {
	var t text
	t.prose("", "The store %s has %d %s, %d %s and %d %s.", path,
		photographs, plural(photographs, "photograph", "photographs"), swatches, plural(swatches, "swatch", "swatches"), batches, plural(batches, "batch", "batches"))
	for _, p := range problems {
		t.prose("", "Wrong: %s.", p)
	}
	for _, s := range strays {
		t.prose("", "Not needed: %s", s)
	}
	if len(problems) == 0 {
		t.prose("", "All is well.")
	}
	return t.String()
}
