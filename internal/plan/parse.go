package plan

import (
	"errors"
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"setshade/internal/plaintext"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Parse reads a plan. An error names the line and says what to write there;
// a plan that is returned without one is complete and consistent.
func Parse(text string) (Plan, error) {
	text = strings.TrimPrefix(text, "\ufeff") // some editors begin a file with this mark
	if err := readable(text); err != nil {
		return Plan{}, err
	}
	text = plaintext.Clean(text)
	r := reader{plan: Plan{Card: UsualCard}, seen: map[string]int{}}
	for i, line := range strings.Split(text, "\n") {
		line, _, _ = strings.Cut(line, "#")
		words := strings.Fields(line)
		if len(words) == 0 {
			continue
		}
		if err := r.line(i+1, words); err != nil {
			return Plan{}, fmt.Errorf("line %d: %w", i+1, err)
		}
	}
	return r.finish()
}

// readable refuses what is not a short text.
func readable(text string) error {
	if len(text) > MaxBytes {
		return fmt.Errorf("a plan may have %d KB, this one has %d; check that it is the plan and not another file", MaxBytes>>10, len(text)>>10)
	}
	if !utf8.ValidString(text) {
		return errors.New("this is not a text in UTF-8; check that it is the plan, or save it again as UTF-8")
	}
	for i, r := range text {
		if plaintext.IsHiddenInLines(r) {
			line := 1 + strings.Count(text[:i], "\n")
			return fmt.Errorf("line %d: there is a control character; check that this is the plan, a plain text", line)
		}
	}
	return nil
}

// reader gathers a plan line by line.
type reader struct {
	plan Plan
	// seen is the line on which a keyword or a drop's number stood first.
	seen map[string]int
}

func (r *reader) line(number int, words []string) error {
	key := strings.ToLower(words[0])
	read := map[string]func([]string) error{
		"wax": r.wax, "state": r.state, "piece": r.piece, "card": r.card, "mass": r.mass, "under": r.light, "rows": r.rows,
	}[key]
	if read == nil {
		if key[0] < '0' || key[0] > '9' {
			return fmt.Errorf("%q begins no line of a plan; begin with wax, state, piece, card, mass, under, rows or a drop's number", words[0])
		}
		read = func(words []string) error { return r.drop(key, words) }
	}
	if first, again := r.seen[key]; again {
		return fmt.Errorf("%s was already given in line %d; keep one of the two", label(key), first)
	}
	r.seen[key] = number
	if len(words) == 1 {
		return fmt.Errorf("nothing follows %s; write for example %q", label(key), example(key))
	}
	return read(words[1:])
}

// label names a line for an error: a keyword as it is, a number as a drop.
func label(key string) string {
	if key[0] >= '0' && key[0] <= '9' {
		return "drop " + key
	}
	return key
}

func example(key string) string {
	switch key {
	case "wax":
		return "wax Harrow Soy"
	case "state":
		return "state set"
	case "piece":
		return "piece thick"
	case "card":
		return "card 95.2 0.1 0.4"
	case "mass":
		return "mass 0.45 g"
	case "under":
		return "under overcast"
	case "rows":
		return "rows 4 3"
	}
	return key + " Bracken 0.5 g/kg"
}

func (r *reader) wax(words []string) error {
	r.plan.Wax = strings.Join(words, " ")
	return wax.Wax{
		Name:            r.plan.Wax,
		RefractiveIndex: wax.UsualRefractiveIndex,
		DensityGPerML:   wax.UsualDensityGPerML,
	}.Validate()
}

func (r *reader) state(words []string) error {
	said := wax.State(strings.ToLower(strings.Join(words, " ")))
	if said != wax.SetState && said != wax.LiquidState {
		return fmt.Errorf("%q is not a state; write set or liquid", said)
	}
	r.plan.State = said
	return nil
}

func (r *reader) piece(words []string) error {
	switch said := strings.ToLower(strings.Join(words, " ")); said {
	case "thick":
		r.plan.Thick = true
	case "drop":
	default:
		return fmt.Errorf("%q is no kind of piece; write thick for finished pieces through which no card shows, or drop", said)
	}
	return nil
}

func (r *reader) card(words []string) error {
	if len(words) != 3 {
		return fmt.Errorf("card needs three numbers and has %d; write L* a* b*, like %q", len(words), example("card"))
	}
	var v [3]float64
	for i, word := range words {
		n, err := ParseNumber(word)
		if err != nil {
			return err
		}
		v[i] = n
	}
	c := spectrum.LabOf(v)
	if c.L < 60 || c.L > 100 || c.Chroma() > 20 {
		return errors.New("a card of this colour is not white; L* must lie between 60 and 100, and a* and b* near 0")
	}
	r.plan.Card = c
	return nil
}

func (r *reader) mass(words []string) (err error) {
	r.plan.MassG, err = parseMass(words)
	return err
}

func (r *reader) light(words []string) (err error) {
	r.plan.Light, err = ParseLight(strings.Join(words, " "))
	return err
}

// ParseLight reads the name of a kind of light.
func ParseLight(word string) (wax.Light, error) {
	said := wax.Light(strings.ToLower(word))
	if !slices.Contains(wax.Lights, said) {
		return "", fmt.Errorf("%q is no light of a card; write window, overcast, black (something black above the card) or lamp", word)
	}
	return said, nil
}

func (r *reader) rows(words []string) error {
	for _, word := range words {
		n, err := strconv.Atoi(word)
		if err != nil || n < 0 || n > MaxDrops {
			return fmt.Errorf("%q is not a number of drops; write for each row how many it has, like %q", word, example("rows"))
		}
		r.plan.Rows = append(r.plan.Rows, n)
	}
	return nil
}

func (r *reader) drop(key string, words []string) error {
	n, err := strconv.Atoi(key)
	if err != nil || n < 1 || strconv.Itoa(n) != key {
		return fmt.Errorf("%q is not a drop's number; number the drops 1, 2, 3 and so on", key)
	}
	if n > MaxDrops {
		return fmt.Errorf("drop %d is beyond the %d that one card may have; split the plan over several cards", n, MaxDrops)
	}
	d := Drop{Number: n}
	if strings.EqualFold(strings.Join(words, " "), leftOut) {
		d.LeftOut = true
		r.plan.Drops = append(r.plan.Drops, d)
		return nil
	}
	if last := len(words) - 1; strings.EqualFold(words[last], "check") {
		d.Check, words = true, words[:last]
	}
	if words, d.MassG, err = cutMass(words); err != nil {
		return fmt.Errorf("drop %d: %w", n, err)
	}
	if d.Parts, err = ParseDose(strings.Join(words, " ")); err != nil {
		return fmt.Errorf("drop %d: %w", n, err)
	}
	r.plan.Drops = append(r.plan.Drops, d)
	return nil
}

// finish checks what only the whole plan can tell.
func (r *reader) finish() (Plan, error) {
	p := r.plan
	switch {
	case p.Wax == "":
		return Plan{}, fmt.Errorf("the plan does not name its wax; add a line like %q", example("wax"))
	case p.State == "":
		return Plan{}, errors.New(`the plan does not say whether the drops are set or liquid; add the line "state set" or "state liquid"`)
	case p.Thick && p.State != wax.SetState:
		return Plan{}, fmt.Errorf("line %d: a thick piece is set wax; leave the line out for liquid drops, or write \"state set\"", r.seen["piece"])
	case p.Thick && (p.MassG != 0 || slices.ContainsFunc(p.Drops, func(d Drop) bool { return d.MassG != 0 })):
		return Plan{}, errors.New("the mass tells how thin a drop is, and no card shows through a thick piece; leave the mass out")
	case len(p.Drops) == 0:
		return Plan{}, fmt.Errorf("the plan has no drops; add a line for each, like %q", example("1"))
	case !slices.ContainsFunc(p.Drops, func(d Drop) bool { return !d.LeftOut }):
		return Plan{}, errors.New("the plan leaves all drops out; say the dose of one at least")
	}
	sort.Slice(p.Drops, func(i, j int) bool { return p.Drops[i].Number < p.Drops[j].Number })
	sum := 0
	for _, n := range p.Rows {
		sum += n
	}
	if p.Rows != nil && sum != len(p.Drops) {
		return Plan{}, fmt.Errorf("line %d: the rows hold %d drops and the plan has %d; make them agree", r.seen["rows"], sum, len(p.Drops))
	}
	return p, nil
}
