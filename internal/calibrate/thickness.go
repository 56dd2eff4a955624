package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"setshade/internal/spectrum"
)

// thicknessSpread is how far the thickness told of a drop may be off, as a log: the
// weighing, the diameter, and a drop that is not quite of the usual shape (common
// practice, no source).
const thicknessSpread = 0.12

// thickness is what is told of how thick drops are, besides what their colours say.
// S·X of a drop is that of a usual one times how much thicker it is told to be, and
// times an unknown of its own, near 1, for the error of what was told.
type thickness struct {
	// UsualMM and UsualLiquidMM are the geometric mean of those told, to which log S·X
	// and its like for liquid drops belong; 0 where none was told.
	UsualMM       float64 `json:"usual_mm,omitempty"`
	UsualLiquidMM float64 `json:"usual_liquid_mm,omitempty"`
	// Drops are the IDs of the drops whose thickness was told.
	Drops []int64 `json:"drops,omitempty"`
	// Varied says that set drops are told to differ so clearly that how their colours
	// differ tells the hiding.
	Varied bool `json:"varied,omitempty"`
}

// toldThickness gathers what the samples tell.
func toldThickness(samples []Sample) thickness {
	var t thickness
	var sum, count [2]float64
	var set []float64
	for _, s := range samples {
		if !s.tellsThickness() {
			continue
		}
		state := 0
		if s.isLiquid() {
			state = 1
		} else {
			set = append(set, math.Log(s.ThicknessMM))
		}
		sum[state] += math.Log(s.ThicknessMM)
		count[state]++
		if !slices.Contains(t.Drops, s.ID) {
			t.Drops = append(t.Drops, s.ID)
		}
	}
	usual := func(state int) float64 {
		if count[state] == 0 {
			return 0
		}
		return math.Exp(sum[state] / count[state])
	}
	t.Varied = len(set) > 1 && stat.StdDev(set, nil) > 2*thicknessSpread
	t.UsualMM, t.UsualLiquidMM = usual(0), usual(1)
	return t
}

func (s Sample) tellsThickness() bool { return s.ThicknessMM > 0 && !s.Thick }

// over is the log of how much thicker than usual a drop is told to be; 0 where
// nothing was told.
func (t thickness) over(s Sample) float64 {
	usual := t.UsualMM
	if s.isLiquid() {
		usual = t.UsualLiquidMM
	}
	if !s.tellsThickness() || usual == 0 {
		return 0
	}
	return math.Log(s.ThicknessMM / usual)
}

// sound reports whether the usual thicknesses can be.
func (t thickness) sound() bool {
	usual := func(mm float64) bool { return mm == 0 || mm > 1e-3 && mm <= mostThicknessMM }
	return usual(t.UsualMM) && usual(t.UsualLiquidMM)
}

// usual is the same without the drops: what is told is then taken as it is.
func (t thickness) usual() thickness {
	t.Drops = nil
	return t
}

// own returns the place of the log of what a drop's thickness is over that told,
// absent for drops of which nothing was told.
func (l layout) own(s Sample) int {
	if !s.tellsThickness() {
		return absent
	}
	if i := slices.Index(l.told.Drops, s.ID); i >= 0 {
		return l.ownAt + i
	}
	return absent
}

// telling is the layout with what is told of thickness, and with the unknowns of the
// drops it is told of.
func (l layout) telling(t thickness) layout {
	l.told, l.ownAt = t, l.size
	l.size += len(t.Drops)
	return l
}

// filmDoubt is how far the film's theory misses the hiding power, as a log: its light
// is even in all directions, that of a thin drop is not. Seen in scenes of radiative
// transfer.
const filmDoubt = 0.3

// HidingPerMM returns the hiding power S of the undyed set wax at 550 nm, per mm, and
// the standard deviation of its logarithm; ok is false when no set drop's thickness was
// told. An error common to all thicknesses told is not counted.
func (m *Model) HidingPerMM() (perMM, logSpread float64, ok bool) {
	if m.layout.told.UsualMM == 0 {
		return 0, 0, false
	}
	known := math.Sqrt(m.covariance.At(logSX, logSX))
	return math.Exp(m.theta[logSX]) / m.layout.told.UsualMM, math.Hypot(known, filmDoubt), true
}

// HidesFromMM returns how thick the undyed set wax must be to hide what lies below,
// mm, and the standard deviation of its logarithm; ok is as of HidingPerMM. Hidden is
// where luminances over black and over white stand as 98 to 100, the contrast ratio
// at which paint counts as opaque (ISO 6504-3, from memory).
func (m *Model) HidesFromMM() (mm, logSpread float64, ok bool) {
	_, logSpread, ok = m.HidingPerMM()
	if !ok {
		return 0, 0, false
	}
	contrast := func(logDepth float64) float64 {
		over := func(reflectance float64) float64 {
			f := m.layout.film(m.theta, piece{backing: spectrum.Flat(reflectance), card: absent, own: absent, thicker: logDepth}, m.media)
			return spectrum.D65.XYZ(f.outer()).Y
		}
		return over(hidingBlack) / over(hidingWhite)
	}
	thin, thick := -10.0, 10.0 // logs over the usual
	for range 50 {
		if middle := (thin + thick) / 2; contrast(middle) < opaqueContrast {
			thin = middle
		} else {
			thick = middle
		}
	}
	return m.layout.told.UsualMM * math.Exp(thick), logSpread, true
}

// The black and the white below a film whose hiding is judged, and the contrast ratio
// at which it counts as opaque.
const hidingBlack, hidingWhite, opaqueContrast = 0.01, 0.8, 0.98
