package photo

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// Colours of the overlay's marks, chosen to stand off wax and card alike.
var (
	inkOutline = color.RGBA{0, 200, 255, 255}
	inkCore    = color.RGBA{255, 255, 255, 255}
	inkCard    = color.RGBA{0, 160, 90, 255}
	inkForeign = color.RGBA{150, 220, 0, 255}
	inkRim     = color.RGBA{90, 110, 140, 255}
	inkSplash  = color.RGBA{190, 60, 255, 255}
	inkLabel   = color.RGBA{20, 24, 32, 255}
	inkPaper   = color.RGBA{255, 255, 255, 255}
)

// overlay is the canvas: the working picture and a legend below it.
type overlay struct {
	*image.RGBA
	w, h        int // of the picture part
	zoom        float64
	bold, plain font.Face
}

// drawOverlay renders the picture and the marks. Small pictures are enlarged so
// that the numbers stay readable.
func (r Reading) drawOverlay() image.Image {
	p, zoom := r.picture, r.overlayZoom()
	o := &overlay{w: p.W * int(zoom), h: p.H * int(zoom), zoom: zoom}
	size := max(13, float64(max(o.w, o.h))/60)
	o.bold, o.plain = face(gobold.TTF, size), face(goregular.TTF, 0.8*size)
	o.RGBA = image.NewRGBA(image.Rect(0, 0, o.w, o.h+o.legendLines(size)*int(1.5*size)))
	o.photograph(r)
	if r.carded {
		o.outline(r.corners[:], 1.5, inkCard)
	}
	for _, m := range r.marks {
		o.outline(m.hull, 2.2, inkOutline)
		o.outline(m.core, 1.2, inkCore)
	}
	for _, s := range r.splashes {
		o.crossed(s)
	}
	for _, m := range r.missing {
		o.crossed(m.hull)
		o.number(m.number, m.hull)
	}
	for i, m := range r.marks {
		o.swatch(r.marks, i, m.colour)
		o.number(m.number, m.hull)
	}
	o.legend(size)
	return o.RGBA
}

// overlayZoom is how many pixels of the overlay one of the working picture is.
func (r Reading) overlayZoom() float64 {
	const wantedSide = 1200
	return max(1, math.Round(wantedSide/float64(max(r.picture.W, r.picture.H))))
}

// OverlayBounds returns the box of each drop on the Overlay, in its pixels and in
// the order of Drops; nil where there are none.
func (r Reading) OverlayBounds() []image.Rectangle {
	var out []image.Rectangle
	for _, m := range r.marks {
		var box image.Rectangle
		for _, p := range m.hull {
			x, y := int(p.X*r.overlayZoom()), int(p.Y*r.overlayZoom())
			box = box.Union(image.Rect(x, y, x+1, y+1))
		}
		out = append(out, box)
	}
	return out
}

func face(ttf []byte, size float64) font.Face {
	parsed, err := opentype.Parse(ttf)
	if err != nil {
		panic("photo: built-in font: " + err.Error())
	}
	f, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: size, DPI: 72})
	if err != nil {
		panic("photo: built-in font: " + err.Error())
	}
	return f
}

// photograph draws the picture with the rejected pixels tinted.
func (o *overlay) photograph(r Reading) {
	tinted := make(map[int32]use)
	for _, m := range r.marks {
		for k, i := range m.pixels {
			if m.uses[k] != useRead {
				tinted[i] = m.uses[k]
			}
		}
	}
	p, zoom := r.picture, int(o.zoom)
	for y := range p.H {
		for x := range p.W {
			i := y*p.W + x
			c := color.RGBA{displayCode(p.Light[red][i]), displayCode(p.Light[green][i]), displayCode(p.Light[blue][i]), 255}
			u, left := tinted[int32(i)]
			for dy := range zoom {
				for dx := range zoom {
					px, py := x*zoom+dx, y*zoom+dy
					if left {
						o.SetRGBA(px, py, hatched(c, u, px, py))
					} else {
						o.SetRGBA(px, py, c)
					}
				}
			}
		}
	}
}

// hatched marks a rejected pixel of the overlay, each kind by its colour and by its
// way of hatching, for eyes that do not tell the colours apart: bits are chequered, and
// the rim slopes down, so lightly that the drop is seen through it.
func hatched(c color.RGBA, u use, x, y int) color.RGBA {
	const period, wide = 8, 4
	ink, on, strong, weak := inkRim, (x-y+period*10000)%6 < 2, 0.45, 0.0
	if u == useForeign {
		ink, on, strong, weak = inkForeign, (x/wide+y/wide)%2 == 0, 0.9, 0.35
	}
	if on {
		return mixed(c, ink, strong)
	}
	return mixed(c, ink, weak)
}

// crossed outlines what was left out as a whole, and strikes it out.
func (o *overlay) crossed(outline []plane.Point) {
	o.outline(outline, 1.6, inkSplash)
	x0, y0, x1, y1 := bounds(outline)
	const beyond = 0.15
	dx, dy := beyond*(x1-x0), beyond*(y1-y0)
	o.outline([]plane.Point{{X: x0 - dx, Y: y0 - dy}, {X: x1 + dx, Y: y1 + dy}}, 1.6, inkSplash)
	o.outline([]plane.Point{{X: x0 - dx, Y: y1 + dy}, {X: x1 + dx, Y: y0 - dy}}, 1.6, inkSplash)
}

func mixed(a, b color.RGBA, share float64) color.RGBA {
	mix := func(x, y uint8) uint8 { return uint8(float64(x)*(1-share) + float64(y)*share + 0.5) }
	return color.RGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 255}
}

// displayCode is the code value of 8 bits that shows an amount of light on a screen
// of sRGB.
func displayCode(light float32) uint8 {
	return uint8(255*min(max(picture.SRGBCode(float64(light)), 0), 1) + 0.5)
}

// outline strokes a closed polygon given in pixels of the picture.
func (o *overlay) outline(corners []plane.Point, width float64, ink color.RGBA) {
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		o.stroke(a.Times(o.zoom), b.Times(o.zoom), width*float64(max(o.w, o.h))/1000, ink)
	}
}

func (o *overlay) stroke(a, b plane.Point, width float64, ink color.RGBA) {
	along := b.Minus(a)
	if along.Length() == 0 {
		return
	}
	unit := along.Times(1 / along.Length())
	side, cap := plane.Point{X: -unit.Y, Y: unit.X}.Times(width/2), unit.Times(width/4)
	a, b = a.Minus(cap), b.Plus(cap)
	o.polygon([]plane.Point{a.Plus(side), b.Plus(side), b.Minus(side), a.Minus(side)}, ink)
}

func (o *overlay) polygon(corners []plane.Point, ink color.RGBA) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range corners {
		x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
	}
	box := image.Rect(int(math.Floor(x0)), int(math.Floor(y0)), int(math.Ceil(x1))+1, int(math.Ceil(y1))+1)
	pen := vector.NewRasterizer(box.Dx(), box.Dy())
	for i, p := range corners {
		x, y := float32(p.X-float64(box.Min.X)), float32(p.Y-float64(box.Min.Y))
		if i == 0 {
			pen.MoveTo(x, y)
		} else {
			pen.LineTo(x, y)
		}
	}
	pen.ClosePath()
	// The rasterizer can't draw beyond its target, but an outline may run out
	// of the picture; draw.DrawMask clips.
	shape := image.NewAlpha(image.Rect(0, 0, box.Dx(), box.Dy()))
	pen.Draw(shape, shape.Rect, image.Opaque, image.Point{})
	draw.DrawMask(o.RGBA, box, image.NewUniform(ink), image.Point{}, shape, image.Point{}, draw.Over)
}

func (o *overlay) box(r image.Rectangle, ink color.RGBA) {
	draw.Draw(o.RGBA, r, image.NewUniform(ink), image.Point{}, draw.Src)
}

func (o *overlay) text(f font.Face, s string, x, baseline int, ink color.RGBA) {
	d := font.Drawer{Dst: o.RGBA, Src: image.NewUniform(ink), Face: f, Dot: fixed.P(x, baseline)}
	d.DrawString(s)
}

func bounds(hull []plane.Point) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range hull {
		x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
	}
	return x0, y0, x1, y1
}

// number writes the drop's number on a dark badge at the drop's upper left.
func (o *overlay) number(n int, hull []plane.Point) {
	x0, y0, x1, y1 := bounds(hull)
	text := fmt.Sprint(n)
	metrics := o.bold.Metrics()
	high := metrics.Ascent.Ceil() + metrics.Descent.Ceil()
	wide := max(high, font.MeasureString(o.bold, text).Ceil()+high/2)
	// On the outline, up and to the left of the centre.
	cx := (x0+x1)/2*o.zoom - 0.36*(x1-x0)*o.zoom
	cy := (y0+y1)/2*o.zoom - 0.36*(y1-y0)*o.zoom
	left, top := int(cx)-wide/2, int(cy)-high/2
	left, top = max(0, min(left, o.w-wide)), max(0, min(top, o.h-high))
	o.box(image.Rect(left-1, top-1, left+wide+1, top+high+1), inkPaper)
	o.box(image.Rect(left, top, left+wide, top+high), inkLabel)
	textLeft := left + (wide-font.MeasureString(o.bold, text).Ceil())/2
	o.text(o.bold, text, textLeft, top+metrics.Ascent.Ceil(), inkPaper)
}

// swatch shows the colour that was read, flat, beside its drop: on the first
// of four sides where it covers no other drop.
func (o *overlay) swatch(marks []mark, i int, colour *spectrum.Lab) {
	if colour == nil {
		return
	}
	x0, y0, x1, y1 := bounds(marks[i].hull)
	side := max(10/o.zoom, 0.34*(x1-x0))
	gap := 0.06 * (x1 - x0)
	cx, cy := (x0+x1)/2, (y0+y1)/2
	places := []plane.Point{{X: x1 + gap, Y: cy - side/2}, {X: cx - side/2, Y: y1 + gap}, {X: x0 - gap - side, Y: cy - side/2}, {X: cx - side/2, Y: y0 - gap - side}}
	best := places[1]
	for _, at := range places {
		if o.free(marks, at, side) {
			best = at
			break
		}
	}
	d := colour.Display()
	square := image.Rect(int(best.X*o.zoom), int(best.Y*o.zoom), int((best.X+side)*o.zoom), int((best.Y+side)*o.zoom))
	o.box(square.Inset(-2), inkLabel)
	o.box(square.Inset(-1), inkPaper)
	o.box(square.Inset(1), color.RGBA{d.R, d.G, d.B, 255})
}

func (o *overlay) free(marks []mark, at plane.Point, side float64) bool {
	if at.X < 1 || at.Y < 1 || (at.X+side)*o.zoom > float64(o.w-2) || (at.Y+side)*o.zoom > float64(o.h-2) {
		return false
	}
	const badge = 0.15 // the number stands out of the upper left this far
	for _, m := range marks {
		x0, y0, x1, y1 := bounds(m.hull)
		x0, y0 = x0-badge*(x1-x0), y0-badge*(y1-y0)
		if at.X < x1 && at.X+side > x0 && at.Y < y1 && at.Y+side > y0 {
			return false
		}
	}
	return true
}

// sample shows an outline's colour as a frame, and a hatching on middling wax.
func (o *overlay) sample(r image.Rectangle, ink color.RGBA, left use) {
	if left == useRead {
		o.box(r, ink)
		o.box(r.Inset(max(2, r.Dx()/6)), inkLabel)
		return
	}
	wax := color.RGBA{170, 170, 170, 255}
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			o.SetRGBA(x, y, hatched(wax, left, x, y))
		}
	}
}

// legendEntries are the marks: outlines in their colour, and what was left out in its
// hatching too.
var legendEntries = []struct {
	ink  color.RGBA
	left use // how it is hatched, useRead for an outline
	text string
}{
	{inkCard, useRead, "card"}, {inkOutline, useRead, "drop"}, {inkCore, useRead, "part read"}, {inkSplash, useRead, "splash left out, or drop not found, struck out"},
	{inkForeign, useForeign, "bits left out"}, {inkRim, useRim, "rim left out"},
}

// legendPlaces lays the entries out in rows: the left end of each in pixels, and its
// row.
func (o *overlay) legendPlaces(size float64) (left, row []int) {
	start, step := int(size), int(1.5*size)
	x, line := start, 0
	for _, e := range legendEntries {
		wide := font.MeasureString(o.plain, e.text).Ceil()
		if x+step+wide > o.w && x > start {
			x, line = start, line+1
		}
		left, row = append(left, x), append(row, line)
		x += step*3/2 + wide
	}
	return left, row
}

// legendLines is how many lines the legend takes, with the one below its rows.
func (o *overlay) legendLines(size float64) int {
	_, row := o.legendPlaces(size)
	return row[len(row)-1] + 2
}

// legend explains the marks on a strip below the picture.
func (o *overlay) legend(size float64) {
	o.box(image.Rect(0, o.h, o.w, o.Rect.Max.Y), inkLabel)
	step := int(1.5 * size)
	left, row := o.legendPlaces(size)
	for i, e := range legendEntries {
		top := o.h + row[i]*step + step/4
		o.sample(image.Rect(left[i], top, left[i]+step/2, top+step/2), e.ink, e.left)
		o.text(o.plain, e.text, left[i]+step*3/4, top+step/2, inkPaper)
	}
	below := o.h + (row[len(row)-1]+1)*step
	o.text(o.plain, "square beside a drop: the colour read, in even daylight", int(size), below+step*3/4, inkPaper)
}
