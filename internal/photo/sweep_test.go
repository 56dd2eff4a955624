package photo_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/photo"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// camera is what a camera does to a picture in linear light before it is stored:
// it mixes and weighs the channels, and bends the tones.
type camera struct {
	gain [3]float64
	// mix is how much of each channel is taken from the other two.
	mix float64
	// contrast makes an S of the tone curve: the slope in the middle is 1 + half
	// of it.
	contrast float64
}

// warmth are the gains of a camera that is balanced for 6500 K under a black body
// of the given temperature: red and blue over green at 600, 540 and 460 nm by
// Planck's law, scaled so that nothing clips.
func warmth(kelvin float64) [3]float64 {
	radiance := func(nm, kelvin float64) float64 {
		const secondConstant = 1.438777e7 // nm K, CODATA 2018
		return 1 / (math.Pow(nm, 5) * (math.Exp(secondConstant/(nm*kelvin)) - 1))
	}
	var gain [3]float64
	most := 0.0
	for c, nm := range [3]float64{600, 540, 460} {
		gain[c] = radiance(nm, kelvin) / radiance(nm, 6500)
		most = max(most, gain[c])
	}
	for c := range gain {
		gain[c] /= most
	}
	return gain
}

// takes returns the picture as the camera stores it.
func (c camera) takes(in *image.RGBA) *image.RGBA {
	out := image.NewRGBA(in.Rect)
	var light [256]float64
	for code := range light {
		v := float64(code) / 255
		if light[code] = v / 12.92; v > 0.04045 {
			light[code] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	const steps = 4096
	var codes [steps + 1]uint8
	for i := range codes {
		root := float64(i) / steps
		u := 12.92 * root * root
		if root*root > 0.0031308 {
			u = 1.055*math.Pow(root*root, 1/2.4) - 0.055
		}
		u -= c.contrast / 2 * u * (1 - u) * (1 - 2*u)
		codes[i] = uint8(255*u + 0.5)
	}
	for i := 0; i < len(in.Pix); i += 4 {
		var l [3]float64
		sum := 0.0
		for k := range l {
			l[k] = light[in.Pix[i+k]]
			sum += l[k]
		}
		for k, v := range l {
			mixed := c.gain[k] * (v*(1-1.5*c.mix) + c.mix*sum/2)
			out.Pix[i+k] = codes[int(steps*math.Sqrt(min(max(mixed, 0), 1))+0.5)]
		}
		out.Pix[i+3] = 255
	}
	return out
}

// sweepScene is a card as it lies there, sweepShot how it is taken.
type sweepScene struct {
	turn, tilt, ratio, noise float64
	megapixels               float64
	state                    wax.State
	size                     card.Size
	profile                  scene.Profile
	fills                    float64 // the share of the frame; 0 is usual
	covered                  int     // the fiducial under a thumb, from 1; 0 is none
	deep                     bool    // few drops, of dyes that leave a channel next to nothing
}

type sweepShot struct {
	kelvin, mix, contrast float64
	quality               int
}

func (s sweepScene) photograph(seed uint64) (scene.Photo, []int) {
	shelf, doses := scene.RandomShelf(scene.NewWax(scene.Soy), seed, 3), []float64{0.1, 0.4, 1.5, 3}
	if s.deep {
		const pinkAndViolet = 7
		shelf, doses = scene.RandomShelf(scene.NewWax(scene.Soy), pinkAndViolet, 2), []float64{0.3, 1, 3}
	}
	g := card.Layout(s.size)
	sheet := scene.Sheet{Shelf: shelf, Card: scene.WhiteCard(), State: s.state, Print: &g}
	var rows []int
	for _, dye := range shelf.Dyes {
		row := []wax.Recipe{nil}
		for _, dose := range doses {
			row = append(row, wax.Recipe{{Dye: dye.Name, DoseGPerKg: dose}})
		}
		sheet.Rows, rows = append(sheet.Rows, row), append(rows, len(row))
	}
	high := int(math.Sqrt(s.megapixels * 1e6 * 3 / 4))
	photo := sheet.Photograph(scene.Options{
		Seed: seed, WidthPx: high * 4 / 3, HeightPx: high, RotationDegrees: s.turn, TiltDegrees: s.tilt,
		LightRatio: s.ratio, Noise: s.noise, Profile: s.profile, Fills: s.fills,
	})
	if s.covered > 0 {
		layThumb(photo, s.covered-1)
	}
	return photo, rows
}

// layThumb covers a fiducial with a disc 16 mm wide.
func layThumb(photo scene.Photo, fiducial int) {
	middle := photo.FiducialsPx[fiducial]
	zero, one := photo.ToPicture.Map(scene.Point{}), photo.ToPicture.Map(scene.Point{X: 1})
	radius := 8 * math.Hypot(one.X-zero.X, one.Y-zero.Y)
	reach := image.Rect(int(middle.X-radius), int(middle.Y-radius), int(middle.X+radius), int(middle.Y+radius)).Intersect(photo.Image.Rect)
	for y := reach.Min.Y; y < reach.Max.Y; y++ {
		for x := reach.Min.X; x < reach.Max.X; x++ {
			if math.Hypot(float64(x)-middle.X, float64(y)-middle.Y) < radius {
				photo.Image.SetRGBA(x, y, color.RGBA{205, 160, 140, 255})
			}
		}
	}
}

// tally is what came of some photographs.
type tally struct {
	photographs, drops, found, wrong int
	otherPrint                       int // photographs whose strip is taken for another print's
	de, black                        []float64
	held                             []float64 // held-out error of the correction
}

func (a *tally) add(b tally) {
	a.photographs += b.photographs
	a.drops += b.drops
	a.found += b.found
	a.wrong += b.wrong
	a.otherPrint += b.otherPrint
	a.de = append(a.de, b.de...)
	a.black = append(a.black, b.black...)
	a.held = append(a.held, b.held...)
}

func (a tally) String() string {
	return fmt.Sprintf("%3d photographs, %4d of %4d drops, %d false or out of place; dE00 median %.2f, 95 %% %.2f, worst %.2f; over black %.2f, %.2f; strip held out %.2f",
		a.photographs, a.found, a.drops, a.wrong, share(a.de, 0.5), share(a.de, 0.95), share(a.de, 1),
		share(a.black, 0.5), share(a.black, 0.95), share(a.held, 0.5))
}

func share(values []float64, q float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	values = slices.Sorted(slices.Values(values))
	return values[int(q*float64(len(values)-1)+0.5)]
}

// read reads a shot and compares it with the truth. Colours that the file cannot
// hold are left out of the colour errors.
func (s sweepShot) read(t *testing.T, truth scene.Photo, rows []int, state wax.State) tally {
	shown := camera{gain: warmth(s.kelvin), mix: s.mix, contrast: s.contrast}.takes(truth.Image)
	truth.Image = shown
	var file bytes.Buffer
	require.NoError(t, truth.WriteJPEG(&file, s.quality))
	r, err := photo.Read(file.Bytes(), photo.Expect{
		Rows: rows, Card: truth.Card, Liquid: state == wax.LiquidState, Reference: truth.Strip,
	})
	if err != nil {
		t.Logf("%+v: %v", s, err)
	}
	other := 0
	for _, note := range r.Notes {
		if strings.Contains(note, "another printer") {
			t.Logf("%+v: %s", s, note)
			other = 1
		}
	}
	out := tally{otherPrint: other, photographs: 1, drops: len(truth.Drops), held: []float64{r.Correction.HeldOutDE00}}
	for _, d := range r.Drops {
		i := slices.IndexFunc(truth.Drops, func(w scene.Truth) bool { return w.Number == d.Number })
		if i < 0 || math.Hypot(truth.Drops[i].CentrePx.X-d.CentreX, truth.Drops[i].CentrePx.Y-d.CentreY) > 0.25*d.DiameterPx {
			out.wrong++
			continue
		}
		out.found++
		want := truth.Drops[i]
		if err == nil && !outsideSRGB(want.Middle) && !noted(d, "colour space") { // a refused picture gives no colours
			out.de = append(out.de, spectrum.DE00(d.Colour.Lab, want.Middle))
		}
		if d.OverBlack != nil && !outsideSRGB(want.BlackMiddle) {
			out.black = append(out.black, spectrum.DE00(d.OverBlack.Lab, want.BlackMiddle))
		}
	}
	return out
}

// sweepScenes and sweepShots are paired one by one, so that each value of each is
// met with different others.
func sweepScenes(full bool) []sweepScene {
	scenes := []sweepScene{
		{turn: 0, tilt: 0, ratio: 1.2, megapixels: 3, state: wax.SetState},
		{turn: 28, tilt: 12, ratio: 1.6, megapixels: 3, state: wax.SetState, size: card.HalfLetter, profile: scene.DisplayP3},
		{turn: 75, tilt: 24, ratio: 2.2, megapixels: 3, state: wax.LiquidState, covered: 1},
		{turn: 180, tilt: 35, ratio: 3, noise: 2, megapixels: 3, state: wax.SetState, fills: 0.95},
		{turn: 310, tilt: 8, ratio: 1.4, megapixels: 3, state: wax.SetState, size: card.HalfLetter, fills: 0.25, covered: 3},
		{turn: 3, tilt: 8, ratio: 1.25, megapixels: 1.9, state: wax.SetState, deep: true},
	}
	if !full {
		return scenes
	}
	for i := range 24 {
		f := float64(i)
		scenes = append(scenes, sweepScene{
			turn: math.Mod(77*f, 361), tilt: math.Mod(11*f, 36), ratio: 1 + math.Mod(0.7*f, 2.01), noise: float64(1 + i%4),
			megapixels: []float64{3, 5, 8, 12}[i%4], state: []wax.State{wax.SetState, wax.SetState, wax.LiquidState}[i%3], size: card.Sizes()[i%2],
			profile: []scene.Profile{scene.SRGB, scene.SRGB, scene.DisplayP3}[i%3], fills: []float64{0.25, 0.4, 0.95, 0.6, 0.3}[i%5], covered: max(0, i%7-2),
		})
	}
	return append(scenes,
		sweepScene{megapixels: 3, ratio: 1.3, fills: 0.95, state: wax.SetState},
		sweepScene{turn: 15, tilt: 20, ratio: 1.5, megapixels: 48, state: wax.SetState, profile: scene.DisplayP3},
		sweepScene{turn: 17, tilt: 12, ratio: 1.5, megapixels: 12, state: wax.SetState, size: card.HalfLetter, deep: true},
		sweepScene{turn: 200, tilt: 20, ratio: 1.8, megapixels: 3, state: wax.SetState, deep: true},
	)
}

var sweepShots = []sweepShot{
	{kelvin: 6500, quality: 95},
	{kelvin: 2700, mix: 0.05, contrast: 0.3, quality: 85},
	{kelvin: 4000, mix: 0.1, quality: 75},
	{kelvin: 5000, contrast: 0.5, quality: 60},
}

// TestAccuracyOverASweep reads rendered photographs of printed cards under all that is said to
// be bearable, with the strip's colours known, and prints a table by each
// influence. SETSHADE_FULL_SWEEP=1 reads six times as many, up to 12 megapixels and once 48.
//
// Owed: 99.5 % of the drops found, no false one, order right; colour within dE00
// 0.7 in the median and 1.5 for 95 %, over all qualities together. In the full sweep
// each quality by itself held it as well: 0.52 and 1.44 at JPEG 60, 0.53 and 1.34 at 75,
// 0.42 and 1.10 at 85, 0.28 and 0.97 at 95; liquid drops, by themselves, 0.61 and 1.59. The
// worst, 5.7, is a liquid drop of deep orange whose blue the file holds in a few codes.
func TestAccuracyOverASweep(t *testing.T) {
	t.Parallel()
	full := os.Getenv("SETSHADE_FULL_SWEEP") != ""
	scenes := sweepScenes(full)
	results, fills := make([][]tally, len(scenes)), make([]float64, len(scenes))
	t.Run("scenes", func(t *testing.T) {
		for i, s := range scenes {
			t.Run(fmt.Sprintf("turned %.0f, tilted %.0f", s.turn, s.tilt), func(t *testing.T) {
				t.Parallel()
				truth, rows := s.photograph(uint64(i + 1))
				fills[i] = truth.Fills()
				for _, shot := range sweepShots {
					results[i] = append(results[i], shot.read(t, truth, rows, s.state))
				}
			})
		}
	})
	var all, fine, deep tally
	var order []string
	rows := map[string]*tally{}
	count := func(name string, one tally) {
		if rows[name] == nil {
			rows[name] = &tally{}
			order = append(order, name)
		}
		rows[name].add(one)
	}
	for i, s := range scenes {
		for k, one := range results[i] {
			all.add(one)
			shot := sweepShots[k]
			if shot.quality >= 85 {
				fine.add(one)
			}
			if s.deep {
				deep.add(one)
				count(fmt.Sprintf("l few drops of deep dyes, JPEG %d", shot.quality), one)
			}
			count(fmt.Sprintf("a turned up to %3.0f", 60*math.Ceil((s.turn+1)/60)), one)
			count(fmt.Sprintf("b tilted up to %2.0f", 12*math.Ceil((s.tilt+0.1)/12)), one)
			count(fmt.Sprintf("c light up to 1:%.0f", math.Ceil(s.ratio)), one)
			count(fmt.Sprintf("d noise x %.0f", max(1, s.noise)), one)
			count(fmt.Sprintf("e %2.0f megapixels", s.megapixels), one)
			count(fmt.Sprintf("f %s", s.state), one)
			count(fmt.Sprintf("g %s", s.size), one)
			count(fmt.Sprintf("h %s", map[scene.Profile]string{scene.SRGB: "sRGB", scene.DisplayP3: "Display P3"}[s.profile]), one)
			count(fmt.Sprintf("i card fills up to %2.0f %% of the frame", 20*math.Ceil(5*fills[i])), one)
			count(fmt.Sprintf("j fiducials covered: %d", min(s.covered, 1)), one)
			count(fmt.Sprintf("k %.0f K, mix %.2f, contrast %.1f, JPEG %d", shot.kelvin, shot.mix, shot.contrast, shot.quality), one)
		}
	}
	slices.Sort(order)
	for _, name := range order {
		t.Logf("%-45s %v", name[2:], rows[name])
	}
	t.Logf("%-45s %v", "JPEG 85 and better", fine)
	t.Logf("%-45s %v", "few drops of deep dyes", deep)
	t.Logf("%-45s %v", "all", all)
	assert.GreaterOrEqual(t, float64(all.found), 0.995*float64(all.drops))
	assert.Zero(t, all.wrong)
	assert.Zero(t, all.otherPrint, "a camera is not another printer")
	assert.LessOrEqual(t, share(fine.de, 0.5), 0.7)
	assert.LessOrEqual(t, share(fine.de, 0.95), 1.5)
	assert.LessOrEqual(t, share(deep.de, 0.5), 0.7)
	assert.LessOrEqual(t, share(deep.de, 0.95), 1.5)
	assert.LessOrEqual(t, share(all.de, 0.5), 0.7)
	assert.LessOrEqual(t, share(all.de, 0.95), 1.5)
}
