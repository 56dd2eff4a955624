package scene

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Photo is a rendered photograph and what is true of it.
type Photo struct {
	Image *image.RGBA
	// Profile is the colour space of the picture's code values.
	Profile Profile
	// Drops in the order of the sheet.
	Drops []Truth
	// Card is the colour of the bare card under D65, CardSizeMM its size.
	Card       spectrum.Lab
	CardSizeMM Point
	// ToPicture maps places on the card in mm, from its middle, to pixels.
	ToPicture Homography
	// FiducialsPx are where the middles of the print's fiducials lie on the picture,
	// Strip the colours of its patches as printed, under D65; none on a bare card.
	FiducialsPx []Point
	Strip       []spectrum.Lab
	// Chart holds the colours of the patches of the chart beside the card, under D65;
	// nil for none.
	Chart []spectrum.Lab
}

// Truth is what is true of a drop.
type Truth struct {
	// Number counts from 1, row by row; on a printed card it is the place's.
	Number int
	Recipe wax.Recipe
	State  wax.State
	// ThicknessMM is the drop's in its middle; Reflectance and Lab, under D65,
	// are those of an even layer so thick.
	ThicknessMM float64
	Reflectance spectrum.Spectrum
	Lab         spectrum.Lab
	// OverBlack says that the drop's lower half lies over the black bar; BlackLab and
	// BlackMiddle are then Lab and Middle there.
	OverBlack             bool
	BlackLab, BlackMiddle spectrum.Lab
	// Middle is the colour of the light that leaves the drop's wax out to 35 % of its
	// radius, as the camera shows it beside the bare card, were all of it over the card:
	// Lab with what the dome and its shade do. Mirrored is what its surface mirrors there, as a share of the light
	// of the card.
	Middle   spectrum.Lab
	Mirrored float64
	// CentrePx is the middle on the picture, RadiusPx the mean radius there.
	CentrePx Point
	RadiusPx float64
}

// CornersPx returns the card's corners on the picture, clockwise from the top
// left.
func (p Photo) CornersPx() [4]Point {
	out := corners(p.CardSizeMM)
	for i, c := range out {
		out[i] = p.ToPicture.Map(c)
	}
	return out
}

// Fills is the share of the picture that the card covers.
func (p Photo) Fills() float64 {
	size := p.Image.Rect.Size()
	return p.ToPicture.area(p.CardSizeMM) / float64(size.X*size.Y)
}

// WriteJPEG writes the picture in the given quality, 1..100, with its profile: in
// a segment of its own behind the first marker (ICC.1:2022, annex B.4).
func (p Photo) WriteJPEG(w io.Writer, quality int) error {
	var file bytes.Buffer
	if err := jpeg.Encode(&file, p.Image, &jpeg.Options{Quality: quality}); err != nil {
		return err
	}
	if icc := p.Profile.ICC(); icc != nil {
		segment := append(file.Next(2)[:2:2], 0xff, 0xe2)
		segment = binary.BigEndian.AppendUint16(segment, uint16(2+14+len(icc)))
		segment = append(append(segment, "ICC_PROFILE\x00\x01\x01"...), icc...)
		if _, err := w.Write(segment); err != nil {
			return err
		}
	}
	_, err := file.WriteTo(w)
	return err
}

// Photograph renders the sheet.
func (s Sheet) Photograph(o Options) Photo {
	st := newStage(s, o, newSeeded(o.Seed))
	size := o.size()
	p := Photo{
		Image:      image.NewRGBA(image.Rectangle{Max: size}),
		Profile:    o.Profile,
		Card:       spectrum.D65.Lab(s.Card),
		CardSizeMM: st.size,
		ToPicture:  st.toPicture,
	}
	for i, d := range st.drops {
		reflectance := s.Shelf.Reflectance(d.recipe, s.State, d.thicknessMM, s.Card)
		centre := st.toPicture.Map(d.middle)
		edge := st.toPicture.Map(Point{d.middle.X + d.radiusMM, d.middle.Y})
		p.Drops = append(p.Drops, Truth{
			Number: d.number, Recipe: d.recipe, State: s.State, ThicknessMM: d.thicknessMM,
			Reflectance: reflectance, Lab: spectrum.D65.Lab(reflectance),
			CentrePx: centre, RadiusPx: math.Hypot(edge.X-centre.X, edge.Y-centre.Y),
		})
		p.Drops[i].Middle, p.Drops[i].Mirrored = st.middleOf(i, bareCard)
	}
	if s.Chart != nil {
		for _, r := range s.Chart {
			p.Chart = append(p.Chart, spectrum.D65.Lab(r))
		}
	}
	if s.Print != nil {
		s.tellPrint(&p, st)
	}
	expose(p.Image, o, st.light(size))
	return p
}

// middleOf returns the light that leaves the wax in the middle of a drop, all over one
// ink, and that mirrored there.
func (st *stage) middleOf(i, ink int) (body spectrum.Lab, mirrored float64) {
	const parts, wide = 15, 0.35
	d, n := &st.drops[i], 0.0
	var sum colour
	for k := range parts * parts {
		x, y := 2*(float64(k%parts)+0.5)/parts-1, 2*(float64(k/parts)+0.5)/parts-1
		if reach := math.Hypot(x, y); reach < 1 {
			p := Point{d.middle.X + wide*x*d.radiusMM, d.middle.Y + wide*y*d.radiusMM}
			sum = sum.sum(st.bodyOver(ink, i, p, wide*reach))
			mirrored += st.mirroredAt(i, p, wide*reach)[1]
			n++
		}
	}
	return spectrum.LabOfLinear(sum[0]/n, sum[1]/n, sum[2]/n), mirrored / n / st.inks[bareCard][1] / st.lamp.on(d.middle)[1]
}

// tellPrint adds what is true of the print.
func (s Sheet) tellPrint(p *Photo, st *stage) {
	for _, f := range s.Print.Fiducials {
		p.FiducialsPx = append(p.FiducialsPx, p.ToPicture.Map(Point(f.Centre)))
	}
	for _, patch := range s.Print.Strip {
		p.Strip = append(p.Strip, spectrum.D65.Lab(s.printer().inked(patch.Colour, s.Card)))
	}
	for i := range p.Drops {
		d := &p.Drops[i]
		if s.Print.Drops[d.Number-1].OverBlack {
			d.OverBlack = true
			d.BlackLab = spectrum.D65.Lab(s.Shelf.Reflectance(d.Recipe, d.State, d.ThicknessMM, spectrum.Flat(s.printer().black)))
			bar := bareCard
			for ink := range st.ramps[i] {
				if st.inks[ink][1] < st.inks[bar][1] {
					bar = ink
				}
			}
			d.BlackMiddle, _ = st.middleOf(i, bar)
		}
	}
}

// newSeeded returns the randomness of one picture, its noise aside.
func newSeeded(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0x5ce7e)) }

// light returns the light that reaches the camera, a little blurred by its lens.
func (st *stage) light(size image.Point) [][]colour {
	sharp := make([][]colour, size.Y)
	back := st.toPicture.Inverse()
	inRows(size.Y, func(y int) {
		row := make([]colour, size.X)
		for x := range row {
			row[x] = st.at(back.Map(Point{float64(x) + 0.5, float64(y) + 0.5})).plus(st.veil)
		}
		sharp[y] = row
	})
	return blurred(sharp)
}

// blurred weighs each pixel with its neighbours, 1-2-1 both ways.
func blurred(in [][]colour) [][]colour {
	out := make([][]colour, len(in))
	inRows(len(in), func(y int) {
		rows := [3][]colour{in[max(y-1, 0)], in[y], in[min(y+1, len(in)-1)]}
		row := make([]colour, len(in[y]))
		for x := range row {
			left, right := max(x-1, 0), min(x+1, len(row)-1)
			for c := range 3 {
				column := func(x int) float64 { return rows[0][x][c] + 2*rows[1][x][c] + rows[2][x][c] }
				row[x][c] = (column(left) + 2*column(x) + column(right)) / 16
			}
		}
		out[y] = row
	})
	return out
}

// The noise of a camera in full light, as a share of full scale: of counting
// photons, for white, and of reading.
const (
	shotNoise = 0.006
	readNoise = 0.0015
)

// expose adds the camera's noise and encodes. Every row draws its own noise, so
// that rows may be done in any order.
func expose(picture *image.RGBA, o Options, light [][]colour) {
	noise, encode := strength(o.Noise), encoder(o.ToneCurve)
	inRows(len(light), func(y int) {
		r := rand.New(rand.NewPCG(o.Seed, 0x9015e+uint64(y)))
		for x, c := range light[y] {
			pixel := picture.Pix[picture.PixOffset(x, y):]
			for k, v := range o.Profile.own(c) {
				sigma := noise * math.Sqrt(shotNoise*shotNoise*max(v, 0)+readNoise*readNoise)
				pixel[k] = encode(v + sigma*r.NormFloat64())
			}
			pixel[3] = 255
		}
	})
}

// inRows runs f for every row, on all processors.
func inRows(rows int, f func(y int)) {
	var group sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		group.Go(func() {
			for y := w; y < rows; y += workers {
				f(y)
			}
		})
	}
	group.Wait()
}
