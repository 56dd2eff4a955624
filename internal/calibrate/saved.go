package calibrate

import (
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

// savedVersion is raised whenever the meaning of the saved numbers changes.
const savedVersion = 3

// saved is the form a model is kept in between learning and predicting. The
// vectors are base64 of little-endian float64; of the covariance, the upper
// triangle row by row.
type saved struct {
	Version         int          `json:"version"`
	Wax             string       `json:"wax"`
	RefractiveIndex float64      `json:"refractive_index"`
	Dyes            []DyeRange   `json:"dyes"`
	Smoothness      float64      `json:"smoothness"`
	NoiseDE00       float64      `json:"noise_de00"`
	Converged       bool         `json:"converged"`
	Drops           []DropFit    `json:"drops"`
	LiquidNoiseDE00 float64      `json:"liquid_noise_de00"`
	Liquid          bool         `json:"liquid"`
	Cards           []string     `json:"cards,omitempty"`
	Thickness       thickness    `json:"thickness,omitzero"`
	UsualCard       spectrum.Lab `json:"usual_card"`
	SeenThick       bool         `json:"seen_thick"`
	Unknowns        string       `json:"unknowns"`
	Ensemble        []string     `json:"ensemble,omitempty"`
	Covariance      string       `json:"covariance"`
}

// ErrSavedModel is wrapped by errors about a saved model that cannot be used;
// the drops it came from are still there, so learning again mends it.
var ErrSavedModel = errors.New("what was learned cannot be read; learn again")

// MarshalJSON saves the model. One that could not be read back is refused.
func (m *Model) MarshalJSON() ([]byte, error) {
	if err := m.sound(); err != nil {
		return nil, fmt.Errorf("what the drops of %s lead to cannot be kept (%w); check their doses and colours", m.Wax, err)
	}
	var upper []float64
	for r := range len(m.theta) {
		for c := r; c < len(m.theta); c++ {
			upper = append(upper, m.covariance.At(r, c))
		}
	}
	var ensemble []string
	for _, theta := range m.ensemble {
		ensemble = append(ensemble, packFloats(theta))
	}
	return json.Marshal(saved{
		savedVersion, m.Wax, m.RefractiveIndex, m.Dyes, m.Smoothness, m.NoiseDE00, m.Converged, m.Drops,
		m.LiquidNoiseDE00, m.KnowsLiquid(), m.layout.cards, m.layout.told, m.usualCard, m.seenThick, packFloats(m.theta), ensemble, packFloats(upper),
	})
}

// ReadModel reads a model that was saved as JSON; every failure wraps
// ErrSavedModel.
func ReadModel(saved []byte) (*Model, error) {
	m := new(Model)
	if err := json.Unmarshal(saved, m); errors.Is(err, ErrSavedModel) {
		return nil, err
	} else if err != nil {
		return nil, fmt.Errorf("%w (%v)", ErrSavedModel, err)
	}
	return m, nil
}

// UnmarshalJSON reads a saved model; every failure wraps ErrSavedModel.
func (m *Model) UnmarshalJSON(data []byte) error {
	var s saved
	if err := json.Unmarshal(data, &s); err != nil {
		return fmt.Errorf("%w (%v)", ErrSavedModel, err)
	}
	if s.Version != savedVersion {
		return fmt.Errorf("%w (it is of version %d, this program reads %d)", ErrSavedModel, s.Version, savedVersion)
	}
	if !s.Thickness.sound() {
		return fmt.Errorf("%w (a thickness of drops that cannot be)", ErrSavedModel)
	}
	theta, err1 := unpackFloats(s.Unknowns)
	upper, err2 := unpackFloats(s.Covariance)
	l := newLayout(s.Dyes, s.Cards, s.Liquid).telling(s.Thickness)
	n := l.size
	if err1 != nil || err2 != nil || len(theta) != n || len(upper) != n*(n+1)/2 {
		return fmt.Errorf("%w (its numbers do not add up)", ErrSavedModel)
	}
	if !(s.RefractiveIndex >= 1.001 && s.RefractiveIndex <= 4) && s.RefractiveIndex != 1 {
		return fmt.Errorf("%w (a refractive index of %g)", ErrSavedModel, s.RefractiveIndex)
	}
	*m = Model{
		Wax: s.Wax, RefractiveIndex: s.RefractiveIndex, Dyes: s.Dyes, Smoothness: s.Smoothness,
		NoiseDE00: s.NoiseDE00, Converged: s.Converged, Drops: s.Drops, LiquidNoiseDE00: s.LiquidNoiseDE00,
		layout: l, media: mediaOf(s.RefractiveIndex), usualCard: s.UsualCard, seenThick: s.SeenThick,
		theta: theta, covariance: mat.NewSymDense(n, nil),
	}
	for _, packed := range s.Ensemble {
		draw, err := unpackFloats(packed)
		if err != nil || len(draw) != n {
			return fmt.Errorf("%w (its draws do not add up)", ErrSavedModel)
		}
		m.ensemble = append(m.ensemble, draw)
	}
	for r := range n {
		for c := r; c < n; c++ {
			m.covariance.SetSym(r, c, upper[0])
			upper = upper[1:]
		}
	}
	if err := m.sound(); err != nil {
		return fmt.Errorf("%w (%v)", ErrSavedModel, err)
	}
	return nil
}

func packFloats(v []float64) string {
	b := make([]byte, 0, 8*len(v))
	for _, f := range v {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(f))
	}
	return base64.StdEncoding.EncodeToString(b)
}

func unpackFloats(s string) ([]float64, error) {
	b, err := base64.StdEncoding.DecodeString(s)
	if err != nil || len(b)%8 != 0 {
		return nil, ErrSavedModel
	}
	v := make([]float64, len(b)/8)
	for i := range v {
		v[i] = math.Float64frombits(binary.LittleEndian.Uint64(b[8*i:]))
		if math.IsNaN(v[i]) || math.IsInf(v[i], 0) {
			return nil, ErrSavedModel
		}
	}
	return v, nil
}
