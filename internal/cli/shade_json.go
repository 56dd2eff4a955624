package cli

import (
	"setshade/internal/report"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// colourJSON is the shape of a colour in JSON: under D65, seen by the CIE 1931
// observer; hex and word are for showing.
type colourJSON struct {
	Lab  numbers `json:"lab"`
	Hex  string  `json:"hex"`
	Word string  `json:"word"`
}

// numbers are L*, a* and b* alone.
type numbers spectrum.Lab

func colourJSONOf(c spectrum.Lab) colourJSON {
	return colourJSON{numbers(c), c.Hex(), report.ColourWord(c)}
}

// partJSON is the shape of one dye of a dose in JSON; undyed wax is [].
type partJSON struct {
	Dye    string  `json:"dye"`
	GPerKg float64 `json:"g_per_kg"`
}

func doseJSON(r wax.Recipe) []partJSON {
	parts := make([]partJSON, len(r))
	for i, p := range r {
		parts[i] = partJSON{p.Dye, p.DoseGPerKg}
	}
	return parts
}

// shadeJSON is the shape of a shade in JSON.
type shadeJSON struct {
	colourJSON
	// Within95 is the dE00 that the wax lies within, 95 times in 100, and Range95
	// the interval of each coordinate alone.
	Within95 float64 `json:"within_95_de00" means:"it lies within this 95 times in 100"`
	Range95  struct {
		L [2]float64 `json:"L"`
		A [2]float64 `json:"a"`
		B [2]float64 `json:"b"`
	} `json:"range_95"`
	Covariance [3][3]float64 `json:"covariance"`
	Lights     []lightJSON   `json:"lights"`
	Untested   []string      `json:"untested"`
}

// lightJSON is the shape of a look under a light in JSON; light is D65, A or
// LED-B3.
type lightJSON struct {
	Light string `json:"light"`
	colourJSON
	ShiftDE00 float64 `json:"shift_de00"`
}

func shadeJSONOf(s shade.Shade) shadeJSON {
	j := shadeJSON{colourJSON: colourJSONOf(s.Lab), Within95: s.Within95, Covariance: s.Cov, Untested: s.Untested}
	for i, ends := range []*[2]float64{&j.Range95.L, &j.Range95.A, &j.Range95.B} {
		ends[0], ends[1] = s.Range95(i)
	}
	for _, l := range s.Lights {
		j.Lights = append(j.Lights, lightJSON{l.Light.String(), colourJSONOf(l.Lab), l.ShiftDE00})
	}
	return j
}
