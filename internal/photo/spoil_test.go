package photo_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The programs that spoil a photograph. They work in linear light, 1 for full scale, and
// know from the truth beside a photograph where its drops lie.

// shot is a photograph in linear light.
type shot struct {
	wide, high int
	light      [][3]float64
	drops      []spot
	quality    int // of the JPEG it is written as
}

// spot is the place of a drop.
type spot struct{ x, y, radius float64 }

// from is how far out of the drop a place is, in radii.
func (s spot) from(x, y float64) float64 { return math.Hypot(x-s.x, y-s.y) / s.radius }

// newShot takes a picture, shrunk by a whole number.
func newShot(img image.Image, drops []spot, shrink int) *shot {
	size := img.Bounds().Size().Div(shrink)
	s := &shot{wide: size.X, high: size.Y, light: make([][3]float64, size.X*size.Y), quality: 92}
	share := 1 / float64(shrink*shrink)
	for i := range s.light {
		x, y := i%s.wide, i/s.wide
		for k := range shrink * shrink {
			r, g, b, _ := img.At(img.Bounds().Min.X+x*shrink+k%shrink, img.Bounds().Min.Y+y*shrink+k/shrink).RGBA()
			for c, v := range [3]uint32{r, g, b} {
				s.light[i][c] += share * decoded[v>>8]
			}
		}
	}
	for _, d := range drops {
		by := float64(shrink)
		s.drops = append(s.drops, spot{d.x / by, d.y / by, d.radius / by})
	}
	return s
}

// decoded is the linear light of a code value of sRGB (IEC 61966-2-1).
var decoded = func() (out [256]float64) {
	for code := range out {
		v := float64(code) / 255
		if out[code] = v / 12.92; v > 0.04045 {
			out[code] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return out
}()

func encoded(light float64) float64 {
	light = min(max(light, 0), 1)
	if light <= 0.0031308 {
		return 12.92 * light
	}
	return 1.055*math.Pow(light, 1/2.4) - 0.055
}

// file is the photograph as a JPEG file.
func (s *shot) file(t *testing.T) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, s.wide, s.high))
	for i, l := range s.light {
		for c, v := range l {
			img.Pix[4*i+c] = uint8(255*encoded(v) + 0.5)
		}
		img.Pix[4*i+3] = 255
	}
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, img, &jpeg.Options{Quality: s.quality}))
	return out.Bytes()
}

// each changes every pixel.
func (s *shot) each(change func(x, y float64, l [3]float64) [3]float64) {
	for i, l := range s.light {
		s.light[i] = change(float64(i%s.wide)+0.5, float64(i/s.wide)+0.5, l)
	}
}

// paint lays a colour over the picture, as far as cover says, 0 to 1.
func (s *shot) paint(colour [3]float64, cover func(x, y float64) float64) {
	s.each(func(x, y float64, l [3]float64) [3]float64 {
		share := min(max(cover(x, y), 0), 1)
		for c := range l {
			l[c] += share * (colour[c] - l[c])
		}
		return l
	})
}

// scale weighs the channels of what cover says.
func (s *shot) scale(by [3]float64, cover func(x, y float64) float64) {
	s.each(func(x, y float64, l [3]float64) [3]float64 {
		share := min(max(cover(x, y), 0), 1)
		for c := range l {
			l[c] *= 1 + share*(by[c]-1)
		}
		return l
	})
}

func luminance(l [3]float64) float64 { return 0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2] }

// white is the light of the card: that at a place left of and above the first drop.
func (s *shot) white() [3]float64 {
	d := s.drops[0]
	return s.light[int(d.y-1.3*d.radius)*s.wide+int(d.x)]
}

// onDrop is 1 on a drop and its close surroundings, and falls to 0 soon beyond.
func (s *shot) onDrop(x, y float64) float64 {
	on := 0.0
	for _, d := range s.drops {
		on = max(on, (1.12-d.from(x, y))/0.08)
	}
	return min(on, 1)
}

// table is 1 beside the card: on each row what lies before the first run of pixels that
// are as white as the card nearly is, and behind the last.
func (s *shot) table() func(x, y float64) float64 {
	const run = 12
	white := 0.55 * luminance(s.white())
	isWhite := func(l [3]float64) bool { return luminance(l) > white && l[2] > 0.6*l[0] }
	first, last := make([]int, s.high), make([]int, s.high)
	for y := range s.high {
		first[y], last[y] = s.wide, 0
		count := 0
		for x := range s.wide {
			if count++; !isWhite(s.light[y*s.wide+x]) {
				count = 0
			}
			if count >= run {
				first[y], last[y] = min(first[y], x-run+1), x
			}
		}
	}
	return func(x, y float64) float64 {
		row := int(y)
		if int(x) >= first[row] && int(x) <= last[row] {
			return 0
		}
		return 1
	}
}

func fog(share float64) func(*shot) {
	return func(s *shot) { s.paint(s.white(), func(x, y float64) float64 { return share }) }
}

// flare is stray light from a lamp beyond the upper left corner.
func flare(s *shot) {
	white := s.white()
	s.each(func(x, y float64, l [3]float64) [3]float64 {
		far := math.Hypot(x, y) / float64(s.wide)
		stray := 0.16*math.Exp(-far*far/0.5) + 0.03
		for c, tint := range [3]float64{1.05, 1, 0.9} {
			l[c] = 0.97*l[c] + stray*tint*white[c]
		}
		return l
	})
}

// tone bends code values into an S.
func tone(s *shot) {
	s.each(func(x, y float64, l [3]float64) [3]float64 {
		for c, v := range l {
			code := encoded(v)
			code += 0.45 * (code*code*(3-2*code) - code)
			if l[c] = code / 12.92; code > 0.04045 {
				l[c] = math.Pow((code+0.055)/1.055, 2.4)
			}
		}
		return l
	})
}

// saturate takes every pixel so far from grey; 0 makes it grey.
func saturate(by float64) func(*shot) {
	return func(s *shot) {
		s.each(func(x, y float64, l [3]float64) [3]float64 {
			grey := luminance(l)
			for c := range l {
				l[c] = grey + by*(l[c]-grey)
			}
			return l
		})
	}
}

// cream makes the bare card a cream one, b* some 5 higher, which the plan does not say.
func cream(s *shot) {
	table := s.table()
	s.scale([3]float64{1, 0.97, 0.88}, func(x, y float64) float64 { return (1 - s.onDrop(x, y)) * (1 - table(x, y)) })
}

func mirror(s *shot) {
	for y := range s.high {
		row := s.light[y*s.wide : (y+1)*s.wide]
		for x := range s.wide / 2 {
			row[x], row[s.wide-1-x] = row[s.wide-1-x], row[x]
		}
	}
}

// finger lies from the lower edge of the picture over half of the sixth drop.
func finger(s *shot) {
	d := s.drops[5]
	s.paint([3]float64{0.52, 0.30, 0.21}, func(x, y float64) float64 {
		return (0.8*d.radius - math.Hypot(x-d.x-0.3*d.radius, min(y-d.y-0.3*d.radius, 0))) / 3
	})
}

// coffeeRing is what a cup leaves between four drops, over the rim of one.
func coffeeRing(s *shot) {
	a, b := s.drops[0], s.drops[5]
	x0, y0 := (a.x+b.x)/2, (a.y+b.y)/2
	wide := 0.75 * math.Hypot(b.x-a.x, b.y-a.y) / 2
	s.scale([3]float64{0.72, 0.55, 0.36}, func(x, y float64) float64 {
		return 0.9 - math.Abs(math.Hypot(x-x0, y-y0)-wide)/(0.05*wide)
	})
}

// gingham is a checked cloth under the card.
func gingham(s *shot) {
	table := s.table()
	check := float64(s.wide) / 30
	s.each(func(x, y float64, l [3]float64) [3]float64 {
		if table(x, y) == 0 {
			return l
		}
		threads := int(x/check)%2 + int(y/check)%2
		return [3][3]float64{{0.78, 0.78, 0.76}, {0.6, 0.3, 0.3}, {0.45, 0.05, 0.06}}[threads]
	})
}

// whiteTable is hardly darker than the card.
func whiteTable(s *shot) {
	white := s.white()
	s.paint([3]float64{0.9 * white[0], 0.89 * white[1], 0.86 * white[2]}, s.table())
}

// phoneShadow lies over the right half of the card, its edge soft.
func phoneShadow(s *shot) {
	edge := (s.drops[1].x + s.drops[2].x) / 2
	s.scale([3]float64{0.5, 0.52, 0.56}, func(x, y float64) float64 { return (x-edge)/(0.06*float64(s.wide)) + 0.5 })
}

// longShadows are those of a low warm lamp at the left: beside every drop, not on it.
func longShadows(s *shot) {
	s.scale([3]float64{0.5, 0.42, 0.32}, func(x, y float64) float64 {
		on := 0.0
		for _, d := range s.drops {
			along, across := (x-d.x)/d.radius, (y-d.y)/d.radius
			if along > 0 && d.from(x, y) > 1 {
				on = max(on, min((1-math.Abs(across))/(0.05+0.2*along), (2.3-along)/0.5))
			}
		}
		return on
	})
}

// hotSpots are lamps mirrored sharply in every drop, and a glossy spot on the card.
func hotSpots(s *shot) {
	white := s.white()
	full := [3]float64{1, 1, white[2] / white[0]}
	for _, d := range s.drops {
		for _, at := range [][3]float64{{-0.25, -0.1, 0.09}, {0.3, -0.35, 0.13}, {0.1, 0.35, 0.07}} {
			h := spot{d.x + at[0]*d.radius, d.y + at[1]*d.radius, at[2] * d.radius}
			s.paint(full, func(x, y float64) float64 { return 1.2 - h.from(x, y)*h.from(x, y)/2 })
		}
	}
}

// blur is three passes of a box, nearly a Gaussian.
func blur(s *shot) {
	radius := s.wide / 120
	for range 3 {
		s.light = boxed(boxed(s.light, s.wide, s.high, radius, 1, s.wide), s.high, s.wide, radius, s.wide, 1)
	}
}

// boxed averages along lines of a length, their pixels a step apart.
func boxed(in [][3]float64, length, lines, radius, step, apart int) [][3]float64 {
	out := make([][3]float64, len(in))
	for line := range lines {
		for k := range length {
			n := 0.0
			for j := max(0, k-radius); j <= min(length-1, k+radius); j++ {
				for c, v := range in[line*apart+j*step] {
					out[line*apart+k*step][c] += v
				}
				n++
			}
			for c := range 3 {
				out[line*apart+k*step][c] /= n
			}
		}
	}
	return out
}

func coarseJPEG(s *shot) { s.quality = 30 }

// messenger is what is left when a photograph is sent by a messenger.
func messenger(s *shot) {
	const wide = 800
	high := s.high * wide / s.wide
	light := make([][3]float64, wide*high)
	for i := range light {
		light[i] = s.light[(i/wide)*s.high/high*s.wide+(i%wide)*s.wide/wide]
	}
	s.wide, s.high, s.light, s.quality = wide, high, light, 60
}

// merged lets the first two drops run into each other.
func merged(s *shot) {
	a, b := s.drops[1], s.drops[2]
	one, other := s.light[int(a.y)*s.wide+int(a.x)], s.light[int(b.y)*s.wide+int(b.x)]
	s.each(func(x, y float64, l [3]float64) [3]float64 {
		along := ((x-a.x)*(b.x-a.x) + (y-a.y)*(b.y-a.y)) / (math.Pow(b.x-a.x, 2) + math.Pow(b.y-a.y, 2))
		across := math.Hypot(x-a.x-along*(b.x-a.x), y-a.y-along*(b.y-a.y))
		if along > 0 && along < 1 && across < 0.6*a.radius && a.from(x, y) > 0.9 && b.from(x, y) > 0.9 {
			for c := range l {
				l[c] = one[c] + along*(other[c]-one[c])
			}
		}
		return l
	})
}

// petals lie on three drops, over a third of each.
func petals(s *shot) {
	for i := 1; i < len(s.drops); i += 3 {
		d := s.drops[i]
		s.paint([3]float64{0.25, 0.05, 0.09}, func(x, y float64) float64 {
			along, across := (x-d.x-0.15*d.radius)/(0.55*d.radius), (y-d.y)/(0.35*d.radius)
			return 8 * (1 - math.Hypot(along, across))
		})
	}
}

// splash is wax of the sixth drop's colour beside the others, and on one.
func splash(s *shot) {
	d := s.drops[5]
	wax := s.light[int(d.y)*s.wide+int(d.x)]
	for i, at := range [][3]float64{{1.5, 0.3, 0.15}, {-1.4, -0.6, 0.1}, {1.02, 0.8, 0.2}, {0.3, 0.2, 0.16}, {0.2, 1.5, 0.12}} {
		o := s.drops[i%3]
		h := spot{o.x + at[0]*o.radius, o.y + at[1]*o.radius, at[2] * o.radius}
		s.paint(wax, func(x, y float64) float64 { return (1 - h.from(x, y)) * h.radius / 2 })
	}
}

// halfWet drops have not set on their right half: it is clear, dark and mirrors less.
func halfWet(s *shot) {
	for i := 2; i < len(s.drops); i += 3 {
		d := s.drops[i]
		s.scale([3]float64{0.6, 0.6, 0.6}, func(x, y float64) float64 {
			return min((x-d.x-0.05*(y-d.y))/(0.08*d.radius), (1-d.from(x, y))/0.03)
		})
	}
}
