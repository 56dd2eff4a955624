package picture

import "sort"

// Coded is a colour as JPEG codes it, in code values (ITU-T T.871, section 7).
//
// Luma is counted from the foot of the tone curve, where its power law would reach
// zero: 14 codes below black in sRGB, none in a curve without a linear toe. Counted
// so, more or less light of one colour changes luma and chroma in proportion.
type Coded struct {
	Luma   float64
	Chroma [2]float64 // Cb and Cr, from grey
}

// CodedAt is the colour of a pixel.
func (p *Picture) CodedAt(i int) Coded {
	return p.Code.Space.Coded([Channels]float64{float64(p.Light[Red][i]), float64(p.Light[Green][i]), float64(p.Light[Blue][i])})
}

// Coded codes linear sRGB light.
func (s *ColourSpace) Coded(light [Channels]float64) Coded {
	v := s.codes(light)
	luma := 0.299*v[Red] + 0.587*v[Green] + 0.114*v[Blue]
	return Coded{luma + s.foot, [2]float64{(v[Blue] - luma) / 1.772, (v[Red] - luma) / 1.402}}
}

// Recoloured returns linear sRGB light with its chroma changed and its luma kept.
func (s *ColourSpace) Recoloured(light [Channels]float64, change [2]float64) [Channels]float64 {
	v := s.codes(light)
	v[Red] += 1.402 * change[Cr]
	v[Green] -= 0.344136*change[Cb] + 0.714136*change[Cr]
	v[Blue] += 1.772 * change[Cb]
	for c := range v {
		v[c] = s.lightOf(c, v[c])
	}
	if s.Plain {
		return v
	}
	return s.ToSRGB.Times(v)
}

// codes are the code values of 0..255, not rounded, of linear sRGB light.
func (s *ColourSpace) codes(light [Channels]float64) [Channels]float64 {
	if !s.Plain {
		light = s.FromSRGB.Times(light)
	}
	for c, v := range light {
		light[c] = s.codeOf(c, v)
	}
	return light
}

// codeOf and lightOf are the curve of a channel and back, straight between the
// codes. What lies outside is the nearest code.
func (s *ColourSpace) codeOf(c int, light float64) float64 {
	table := s.light8[c]
	above := min(max(sort.Search(256, func(i int) bool { return float64(table[i]) >= light }), 1), 255)
	a, b := float64(table[above-1]), float64(table[above])
	if b <= a {
		return float64(above)
	}
	return float64(above-1) + min(max((light-a)/(b-a), 0), 1)
}

func (s *ColourSpace) lightOf(c int, code float64) float64 {
	code = min(max(code, 0), 255)
	below := min(int(code), 254)
	a, b := float64(s.light8[c][below]), float64(s.light8[c][below+1])
	return a + (code-float64(below))*(b-a)
}

// footOf is how many codes below black the power law of a curve begins. Of a curve
// V = a L^g - b the values at full light, a quarter and a sixteenth, each raised by
// b, are in proportion: b follows from
//
//	(V2 + b)² = (V1 + b) (V3 + b)
func (s *ColourSpace) footOf(c int) float64 {
	full, quarter, sixteenth := s.codeOf(c, 1), s.codeOf(c, 1.0/4), s.codeOf(c, 1.0/16)
	bend := 2*quarter - full - sixteenth
	if bend >= 0 {
		return 0
	}
	const most = 32
	return min(max((full*sixteenth-quarter*quarter)/bend, 0), most)
}
