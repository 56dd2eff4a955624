package plan

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// The worked plan of the package comment, in the workshop of the demo
// (invented).
const harrow = `# Tuesday's card
wax   Harrow Soy
state set                 # or liquid
card  95.2 0.1 0,4
mass  0,45g
rows  3 1
2  Bracken 0,5 g/kg
1  undyed
3  Bracken 2 chips/kg + Slate Hill 0.25g/kg
4  Bracken 0.1 % mass 300 mg check    # kept back
`

func harrowPlan() Plan {
	return Plan{
		Wax: "Harrow Soy", State: wax.SetState,
		Card:  spectrum.Lab{L: 95.2, A: 0.1, B: 0.4},
		MassG: 0.45, Rows: []int{3, 1},
		Drops: []Drop{
			{Number: 1},
			{Number: 2, Parts: []Amount{{"Bracken", 0.5, Gram}}},
			{Number: 3, Parts: []Amount{{"Bracken", 2, Chips}, {"Slate Hill", 0.25, Gram}}},
			{Number: 4, Parts: []Amount{{"Bracken", 0.1, Percent}}, MassG: 0.3, Check: true},
		},
	}
}

func TestParseReadsTheWorkedPlan(t *testing.T) {
	got, err := Parse(harrow)
	require.NoError(t, err)
	assert.Equal(t, harrowPlan(), got)
}

func TestParseTakesFilesAsEditorsLeaveThem(t *testing.T) {
	want, err := Parse(harrow)
	require.NoError(t, err)
	for name, text := range map[string]string{
		"Windows line ends": strings.ReplaceAll(harrow, "\n", "\r\n"),
		"byte order mark":   "\ufeff" + harrow,
		"no last line end":  strings.TrimSpace(harrow),
		"tabs":              strings.ReplaceAll(harrow, "  ", "\t"),
		"capital keywords":  strings.Replace(harrow, "wax ", "WAX ", 1),
	} {
		got, err := Parse(text)
		require.NoError(t, err, name)
		assert.Equal(t, want, got, name)
	}
}

func TestParseLeavesOutWhatIsOptional(t *testing.T) {
	got, err := Parse("wax Harrow Soy\nstate liquid\n1 undyed\n")
	require.NoError(t, err)
	assert.Equal(t, Plan{Wax: "Harrow Soy", State: wax.LiquidState, Card: UsualCard, Drops: []Drop{{Number: 1}}}, got)
}

// Finished pieces are said in one line, and are set.
func TestParseThickPieces(t *testing.T) {
	got, err := Parse("wax Harrow Soy\nstate set\nPiece THICK\n1 undyed\n")
	require.NoError(t, err)
	assert.True(t, got.Thick)
	back, err := Parse(Format(got))
	require.NoError(t, err)
	assert.Equal(t, got, back)
	got, err = Parse("wax Harrow Soy\nstate liquid\npiece drop\n1 undyed\n")
	require.NoError(t, err)
	assert.False(t, got.Thick)
	_, err = Parse("wax Harrow Soy\npiece thick\nstate liquid\n1 undyed\n")
	assert.EqualError(t, err, `line 2: a thick piece is set wax; leave the line out for liquid drops, or write "state set"`)
	_, err = Parse("wax Harrow Soy\npiece tart\n")
	assert.EqualError(t, err, `line 2: "tart" is no kind of piece; write thick for finished pieces through which no card shows, or drop`)
	_, err = Parse("piece\n")
	assert.EqualError(t, err, `line 1: nothing follows piece; write for example "piece thick"`)
}

// A drop that ran is counted on the card, and nothing of it is kept.
func TestParseDropLeftOut(t *testing.T) {
	got, err := Parse("wax Harrow Soy\nstate set\n1 undyed\n2 Left  OUT\n3 Bracken 2 g/kg\n")
	require.NoError(t, err)
	assert.Equal(t, []Drop{{Number: 1}, {Number: 2, LeftOut: true}, {Number: 3, Parts: []Amount{{"Bracken", 2, Gram}}}}, got.Drops)
	back, err := Parse(Format(got))
	require.NoError(t, err)
	assert.Equal(t, got, back)
	_, err = Parse("wax Harrow Soy\nstate set\n1 left out\n")
	assert.EqualError(t, err, "the plan leaves all drops out; say the dose of one at least")
}

// The unit tells the mass of a drop from the dose of a dye of that name.
func TestParseDyeCalledMass(t *testing.T) {
	got, err := Parse("wax Harrow Soy\nstate set\n1 Mass 2 g/kg mass 1 g\n2 Mass 2g/kg\n3 undyed MASS 2mg")
	require.NoError(t, err)
	dose := []Amount{{"Mass", 2, Gram}}
	assert.Equal(t, []Drop{{Number: 1, Parts: dose, MassG: 1}, {Number: 2, Parts: dose}, {Number: 3, MassG: 0.002}}, got.Drops)
}

// Numbers that are left out are those of empty places on a printed card.
func TestPlaces(t *testing.T) {
	const head = "wax Harrow Soy\nstate set\n"
	for text, want := range map[string][]int{
		"1 undyed":                               nil,
		"2 undyed\n1 undyed":                     nil,
		"1 undyed\n4 undyed\n2 undyed":           {1, 2, 4},
		"3 undyed":                               {3},
		"rows 0 2\n1 undyed\n2 undyed":           nil,
		"rows 0 1 1\n7 undyed\n13 undyed\n# end": {7, 13},
	} {
		p, err := Parse(head + text)
		require.NoError(t, err, text)
		assert.Equal(t, want, p.Places(), text)
		back, err := Parse(Format(p))
		require.NoError(t, err, text)
		assert.Equal(t, p, back, text)
	}
	assert.Nil(t, Plan{}.Places())
}

// Every refusal says where and what, and ends in what to do.
func TestParseRefuses(t *testing.T) {
	const head = "wax Harrow Soy\nstate set\n"
	for _, c := range []struct{ name, text, says string }{
		{"empty", "", "does not name its wax"},
		{"no state", "wax Harrow Soy\n1 undyed", `add the line "state set" or "state liquid"`},
		{"no drops", head, "no drops"},
		{"bad state", "state frozen", `line 1: "frozen" is not a state; write set or liquid`},
		{"unknown word", "dye Bracken", `line 1: "dye" begins no line`},
		{"bare number", head + "1", `line 3: nothing follows drop 1; write for example "1 Bracken 0.5 g/kg"`},
		{"bare wax", "wax # Harrow Soy", `line 1: nothing follows wax`},
		{"drop zero", head + "0 undyed", `"0" is not a drop's number`},
		{"drop 01", head + "01 undyed", `"01" is not a drop's number`},
		{"drop with a dot", head + "1. undyed", `"1." is not a drop's number`},
		{"drop 201", head + "201 undyed", "drop 201 is beyond the 200"},
		{"huge number", head + "99999999999999999999 undyed", "is not a drop's number"},
		{"drop twice", head + "1 undyed\n1 undyed", "line 4: drop 1 was already given in line 3"},
		{"state twice", head + "state set", "line 3: state was already given in line 2"},
		{"rows disagree", head + "rows 2\n1 undyed", "line 3: the rows hold 2 drops and the plan has 1"},
		{"rows of none", head + "rows 0 0\n1 undyed", "line 3: the rows hold 0 drops and the plan has 1"},
		{"rows negative", "rows -1", `"-1" is not a number of drops`},
		{"card short", "card 95 0", "card needs three numbers and has 2"},
		{"card black", "card 5 0 0", "not white"},
		{"card NaN", "card NaN 0 0", `"NaN" is not a number`},
		{"mass without unit", "mass 0.45", `"0.45" is not the mass of a drop`},
		{"mass in ounces", "mass 1 oz", `"oz" is not a unit for the mass of a drop; write g or mg`},
		{"mass NaN", "mass NaN g", `"NaN" is not a number`},
		{"mass zero", "mass 0 g", "a drop of 0 g is not one that can be"},
		{"mass too large", "mass 51 g", "a drop of 51 g is not one that can be"},
		{"mass negative", head + "1 undyed mass -1 mg", "line 3: drop 1: a drop of -1 mg is not one"},
		{"mass twice", "mass 1 g\nmass 2 g", "line 2: mass was already given in line 1"},
		{"mass of a drop without dose", head + "1 mass 1 g", "no dose is given"},
		{"mass of a drop without number", head + "1 Bracken 1 g/kg mass g", `"g" is not a unit for a dose`},
		{"mass of a thick piece", head + "piece thick\n1 undyed mass 1 g", "no card shows through a thick piece"},
		{"dose NaN", head + "1 Bracken NaN g/kg", `line 3: drop 1: "NaN" is not a number`},
		{"dose Inf", head + "1 Bracken Inf g/kg", `"Inf" is not a number`},
		{"dose exponent", head + "1 Bracken 1e3 g/kg", `"1e3" is not a number`},
		{"dose hexadecimal", head + "1 Bracken 0x10 g/kg", `"0x10" is not a number`},
		{"dose two points", head + "1 Bracken 1.2.3 g/kg", `"1.2.3" is not a number`},
		{"dose point and comma", head + "1 Bracken 1,200.5 g/kg", `"1,200.5" is not a number`},
		{"dose two readings", head + "1 Bracken 1,500 g/kg", `"1,500" can be read two ways; write 1.500 or 1500`},
		{"dose negative", head + "1 Bracken -1 g/kg", "the dose of Bracken is negative"},
		{"dose zero", head + "1 Bracken 0,000 g/kg", "the dose of Bracken is 0; leave the dye out"},
		{"dose too large", head + "1 Bracken 1001 g/kg", "more than 1000 g/kg"},
		{"percent too large", head + "1 Bracken 101 %", "more than 1000 g/kg"},
		{"unknown unit", head + "1 Bracken 1 oz/gallon", `"oz/gallon" is not a unit`},
		{"no unit", head + "1 Bracken 1", "is not a dose"},
		{"no dye", head + "1 1 g/kg", "is not a dose"},
		{"only check", head + "1 check", "no dose is given"},
		{"plus at the end", head + "1 Bracken 1 g/kg +", `a dye is missing beside a "+"`},
		{"dye twice", head + "1 Bracken 1 g/kg + bracken 2 g/kg", "bracken is given twice in one drop"},
		{"undyed as a dye", head + "1 undyed 1 g/kg", "cannot name a dye"},
		{"name with punctuation", head + "1 Bracken: 1 g/kg", "may not contain"},
		{"not UTF-8", "wax \xff\xfe", "not a text in UTF-8"},
		{"binary", head + "1 un\x00dyed", "line 3: there is a control character"},
		{"escape code", "wax \x1b[31mred", "line 1: there is a control character"},
		{"too long", strings.Repeat("# remark\n", 8000), "a plan may have 64 KB"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Parse(c.text)
			require.ErrorContains(t, err, c.says)
			assert.Contains(t, err.Error(), ";", "the error ends in what to do")
			assert.Equal(t, Plan{}, got)
		})
	}
}

func TestParseAtItsLimits(t *testing.T) {
	var b strings.Builder
	b.WriteString("wax Harrow Soy\nstate set\n")
	for n := MaxDrops; n >= 1; n-- {
		fmt.Fprintf(&b, "%d Bracken 1000 g/kg\n", n)
	}
	got, err := Parse(b.String())
	require.NoError(t, err)
	require.Len(t, got.Drops, MaxDrops)
	assert.Equal(t, 1, got.Drops[0].Number)
}

func TestFormatIsReadBack(t *testing.T) {
	got, err := Parse(Format(harrowPlan()))
	require.NoError(t, err)
	assert.Equal(t, harrowPlan(), got)
}

// FuzzParse: no text makes Parse panic, and every plan it accepts is written
// and read back unchanged.
func FuzzParse(f *testing.F) {
	f.Add(harrow)
	f.Add("wax a\nstate set\n1 undyed check")
	f.Add("wax a\nstate liquid\nrows 1 1\n1 b 3% check\n2 Red 5 .5 mg/kg+c 1, drop/kg")
	f.Add("wax a\nstate set\nmass 4 mg\n1 undyed mass .3g check\n2 Mass 2 g/kg mass 1 g")
	f.Add("wax a\nstate set\nrows 0 0 2\n13 undyed\n15 b 1 g/kg")
	f.Add("card 95,2 -0 -.4\nrows 4")
	f.Add("under BLACK\n1 undyed")
	f.Add("\ufeff#\r\n1")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := Parse(text)
		if err != nil {
			require.Equal(t, Plan{}, p)
			return
		}
		again, err := Parse(Format(p))
		require.NoError(t, err)
		require.Equal(t, p, again)
	})
}
