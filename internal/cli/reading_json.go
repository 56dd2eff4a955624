package cli

import "setshade/internal/wax"

// readingJSON is the shape of what is known of a photograph as a measurement in
// JSON; both are null where it was not kept.
type readingJSON struct {
	Correction *correctionJSON `json:"correction"`
	Quality    *qualityJSON    `json:"quality"`
}

type correctionJSON struct {
	Kind        string  `json:"kind"`
	Model       string  `json:"model"`
	Patches     int     `json:"patches"`
	MedianDE00  float64 `json:"median_de00"`
	WorstDE00   float64 `json:"worst_de00"`
	HeldOutDE00 float64 `json:"held_out_de00"`
}

type qualityJSON struct {
	LightRatio float64 `json:"light_ratio" means:"brightest over darkest light on the card"`
	TintShift  float64 `json:"tint_shift" means:"change of red over blue over it"`
	Noise      float64 `json:"noise" means:"as a share of white"`
	EdgePx     float64 `json:"edge_px" zero:"null" means:"how wide an edge is"`
}

func readingJSONOf(c wax.Correction, q wax.Quality) readingJSON {
	if !c.IsKnown() {
		return readingJSON{}
	}
	return readingJSON{
		&correctionJSON{c.Kind, c.Model, c.Patches, c.MedianDE00, c.WorstDE00, c.HeldOutDE00},
		&qualityJSON{q.LightRatio, q.TintShift, q.Noise, q.EdgePx},
	}
}
