package report

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// The measures of the picture of curves.
const (
	panelWide   = 9 * vg.Centimeter
	panelHigh   = 6.2 * vg.Centimeter
	planeHigh   = 13.5 * vg.Centimeter
	panelGap    = 0.4 * vg.Centimeter
	captionHigh = 1.2 * vg.Centimeter
	nameOff     = 0.35 * vg.Centimeter
	curvesDots  = 110 // per inch
)

var (
	bandColour  = color.RGBA{205, 205, 205, 255}
	curveColour = color.RGBA{60, 60, 60, 255}
	keptColour  = color.RGBA{0, 0, 0, 255}
)

// CurvesPicture draws what was learned of each dye: L*, C* and h against its
// dose with the 95 % interval and the drops; then the a*b* plane with the reach
// of every dye alone; then what the fit misses of each drop.
func CurvesPicture(l workshop.Lesson) (image.Image, error) {
	rows := len(l.Model.Dyes)
	high := captionHigh + vg.Length(rows)*panelHigh + planeHigh
	canvas := vgimg.NewWith(vgimg.UseWH(3*panelWide, high), vgimg.UseDPI(curvesDots), vgimg.UseBackgroundColor(color.White))
	whole := draw.New(canvas)
	ladders := make([][]*plot.Plot, rows)
	whole.FillText(captionStyle(), vg.Point{X: 2 * panelGap, Y: high - panelGap},
		l.Wax.Name+", set drops on white card. Line: predicted. Band: 95 % interval. Disc: a drop as measured. Ring: a drop kept back, never learned from.")
	curves := make([]namedCurve, rows)
	for i, dye := range l.Model.Dyes {
		curve, err := l.Curve(dye)
		if err != nil {
			return nil, err
		}
		learned, kept := l.Alone(dye.Name)
		for _, c := range coordinates {
			ladders[i] = append(ladders[i], c.ladder(dye.Name, curve, learned, kept))
		}
		curves[i] = namedCurve{dye.Name, curve}
	}

	tiles := draw.Tiles{Rows: rows, Cols: 3, PadX: panelGap, PadY: panelGap, PadTop: panelGap, PadLeft: panelGap, PadRight: panelGap, PadBottom: panelGap}
	for i, row := range plot.Align(ladders, tiles, draw.Crop(whole, 0, 0, planeHigh, -captionHigh)) {
		for k, panel := range row {
			ladders[i][k].Draw(panel)
		}
	}
	below := draw.Crop(whole, panelGap, -panelGap, panelGap, -captionHigh-vg.Length(rows)*panelHigh-panelGap)
	plane(l, curves).Draw(draw.Crop(below, 0, planeHigh-3*panelWide, 0, 0))
	misses(l).Draw(draw.Crop(below, planeHigh+panelGap, 0, 0, 0))
	return canvas.Image(), nil
}

// namedCurve is a dye with its curve.
type namedCurve struct {
	dye   string
	curve []workshop.CurvePoint
}

// plane draws the set drops on the a*b* plane, and the reach of each dye alone.
func plane(l workshop.Lesson, curves []namedCurve) *plot.Plot {
	p := newPlot("Test drops on white card: the reach of each dye alone", "a*", "b*")
	var names []plot.Plotter
	for _, c := range curves {
		line, name := reach(c.dye, c.curve)
		p.Add(line)
		names = append(names, name)
	}
	var set []wax.Swatch
	for _, s := range l.Drops {
		if s.State == wax.SetState {
			set = append(set, s)
		}
	}
	p.Add(drops{set, func(s wax.Swatch) plotter.XY { return plotter.XY{X: s.Colour.Lab.A, Y: s.Colour.Lab.B} }, false})
	p.Add(names...)
	equalScales(p)
	return p
}

func captionStyle() draw.TextStyle {
	style := plot.New().Title.TextStyle
	style.Font.Size, style.XAlign, style.YAlign = vg.Points(11), draw.XLeft, draw.YTop
	return style
}

func newPlot(title, x, y string) *plot.Plot {
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = title, x, y
	p.Title.Padding = 2 * vg.Millimeter
	p.Add(plotter.NewGrid())
	return p
}

// coordinate is one number of a colour, with its derivative by (L*, a*, b*).
type coordinate struct {
	name string
	of   func(spectrum.Lab) float64
	by   func(spectrum.Lab) [3]float64
	turn float64 // what it comes back after; 0 for never
	// meaning tells what it is in plain words.
	meaning string
}

// leastChroma keeps the derivatives of chroma and hue finite at neutral grey.
const leastChroma = 1e-6

var coordinates = []coordinate{
	{"L*", func(c spectrum.Lab) float64 { return c.L }, func(spectrum.Lab) [3]float64 { return [3]float64{1, 0, 0} }, 0, "L*: how light it is, from 0 for black to 100 for white."},
	{"C*", spectrum.Lab.Chroma, func(c spectrum.Lab) [3]float64 {
		chroma := math.Max(c.Chroma(), leastChroma)
		return [3]float64{0, c.A / chroma, c.B / chroma}
	}, 0, "C*: how strong the colour is; 0 is grey."},
	{"h, degrees", spectrum.Lab.HueDegrees, func(c spectrum.Lab) [3]float64 {
		chroma := math.Max(c.Chroma(), leastChroma)
		degrees := 180 / math.Pi / (chroma * chroma)
		return [3]float64{0, -c.B * degrees, c.A * degrees}
	}, 360, "h: the hue, once round the circle: 0 pink, 90 yellow, 180 green, 270 blue."},
}

// near moves a value by whole turns to within half a turn of another.
func (c coordinate) near(v, to float64) float64 {
	if c.turn == 0 {
		return v
	}
	return v + c.turn*math.Round((to-v)/c.turn)
}

// ladder draws the coordinate against the dose.
func (c coordinate) ladder(dye string, curve []workshop.CurvePoint, learned, kept []wax.Swatch) *plot.Plot {
	p := newPlot(dye, "dose, g/kg", c.name)
	p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, doseTicks{}
	if c.turn > 0 {
		p.Y.Tick.Marker = turningTicks{c.turn}
	}
	line := make(plotter.XYs, len(curve))
	lower, upper := make(plotter.XYs, len(curve)), make(plotter.XYs, len(curve))
	last := c.of(curve[len(curve)/2].Lab)
	for i, point := range curve {
		last = c.near(c.of(point.Lab), last)
		half := 1.96 * deviation(point.Cov, c.by(point.Lab))
		if c.turn > 0 {
			half = math.Min(half, c.turn/2)
		}
		line[i] = plotter.XY{X: point.DoseGPerKg, Y: last}
		lower[i] = plotter.XY{X: point.DoseGPerKg, Y: last - half}
		upper[len(upper)-1-i] = plotter.XY{X: point.DoseGPerKg, Y: last + half}
	}
	at := func(s wax.Swatch) plotter.XY {
		nearest := curve[0]
		y := line[0].Y
		for i, point := range curve {
			if math.Abs(math.Log(point.DoseGPerKg/s.Recipe[0].DoseGPerKg)) < math.Abs(math.Log(nearest.DoseGPerKg/s.Recipe[0].DoseGPerKg)) {
				nearest, y = point, line[i].Y
			}
		}
		return plotter.XY{X: s.Recipe[0].DoseGPerKg, Y: c.near(c.of(s.Colour.Lab), y)}
	}
	p.Add(polygon(append(lower, upper...)), polyline(line), drops{learned, at, false}, drops{kept, at, true})
	return p
}

// deviation is the standard deviation along a derivative.
func deviation(cov [3][3]float64, by [3]float64) float64 {
	v := 0.0
	for r := range 3 {
		for k := range 3 {
			v += by[r] * cov[r][k] * by[k]
		}
	}
	return math.Sqrt(math.Max(0, v))
}

func polygon(outline plotter.XYs) *plotter.Polygon {
	p, err := plotter.NewPolygon(outline)
	if err != nil {
		panic("report: a curve has finite points: " + err.Error())
	}
	p.Color, p.LineStyle.Width = bandColour, 0
	return p
}

func polyline(points plotter.XYs) *plotter.Line {
	l, err := plotter.NewLine(points)
	if err != nil {
		panic("report: a curve has finite points: " + err.Error())
	}
	l.Width, l.Color = vg.Points(1.2), curveColour
	return l
}

// drops are swatches as discs of their own colour; kept ones wear a ring.
type drops struct {
	swatches []wax.Swatch
	at       func(wax.Swatch) plotter.XY
	kept     bool
}

// Plot implements plot.Plotter.
func (d drops) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	for _, s := range d.swatches {
		xy := d.at(s)
		centre := vg.Point{X: x(xy.X), Y: y(xy.Y)}
		c.DrawGlyph(draw.GlyphStyle{Color: displayed(s.Colour.Lab), Radius: vg.Points(4), Shape: draw.CircleGlyph{}}, centre)
		rim := draw.GlyphStyle{Color: curveColour, Radius: vg.Points(4), Shape: draw.RingGlyph{}}
		if d.kept {
			rim.Color, rim.Radius = keptColour, vg.Points(6.5)
		}
		c.DrawGlyph(rim, centre)
	}
}

// DataRange implements plot.DataRanger.
func (d drops) DataRange() (xmin, xmax, ymin, ymax float64) {
	points := make(plotter.XYs, len(d.swatches))
	for i, s := range d.swatches {
		points[i] = d.at(s)
	}
	return plotter.XYRange(points)
}

func displayed(c spectrum.Lab) color.Color {
	d := c.Display()
	return color.RGBA{d.R, d.G, d.B, 255}
}

// reach is the line that a dye alone takes through the a*b* plane, and its name
// outside of where it is purest.
func reach(dye string, curve []workshop.CurvePoint) (*plotter.Line, *plotter.Labels) {
	points := make(plotter.XYs, len(curve))
	purest := curve[0].Lab
	for i, c := range curve {
		points[i] = plotter.XY{X: c.Lab.A, Y: c.Lab.B}
		if c.Lab.Chroma() > purest.Chroma() {
			purest = c.Lab
		}
	}
	name, err := plotter.NewLabels(plotter.XYLabels{XYs: plotter.XYs{{X: purest.A, Y: purest.B}}, Labels: []string{dye}})
	if err != nil {
		panic("report: one label for one point: " + err.Error())
	}
	sin, cos := math.Sincos(purest.HueDegrees() * math.Pi / 180)
	name.TextStyle[0].XAlign, name.TextStyle[0].YAlign = draw.XAlignment((cos-1)/2), draw.YAlignment((sin-1)/2)
	name.Offset = vg.Point{X: nameOff * vg.Length(cos), Y: nameOff * vg.Length(sin)}
	return polyline(points), name
}

// equalScales gives both axes of a square plot the same span, with room for the
// names.
func equalScales(p *plot.Plot) {
	half := 0.58 * math.Max(p.X.Max-p.X.Min, p.Y.Max-p.Y.Min)
	x, y := (p.X.Min+p.X.Max)/2, (p.Y.Min+p.Y.Max)/2
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = x-half, x+half, y-half, y+half
}

// misses draws what each drop measured beyond the fit, against its lightness.
func misses(l workshop.Lesson) *plot.Plot {
	p := newPlot("Measured less predicted, each drop in the fit", "measured L*", "difference")
	shapes := []draw.GlyphDrawer{draw.CircleGlyph{}, draw.TriangleGlyph{}, draw.CrossGlyph{}}
	for k, name := range []string{"L*", "a*", "b*"} {
		points := make(plotter.XYs, len(l.Drops))
		for i, fit := range l.Model.Drops {
			measured := l.Drops[i].Colour.Lab
			points[i] = plotter.XY{X: measured.L, Y: measured.Vector()[k] - fit.Predicted.Vector()[k]}
		}
		scatter, err := plotter.NewScatter(points)
		if err != nil {
			panic("report: drops have finite colours: " + err.Error())
		}
		scatter.GlyphStyle = draw.GlyphStyle{Color: curveColour, Radius: vg.Points(3), Shape: shapes[k]}
		p.Add(scatter)
		p.Legend.Add(name, scatter)
	}
	p.Legend.Top = true
	most := math.Max(1, 1.15*math.Max(math.Abs(p.Y.Min), math.Abs(p.Y.Max)))
	p.Y.Min, p.Y.Max = -most, most
	return p
}

// doseTicks marks 1, 2 and 5 times powers of ten; over a wide range the powers of
// ten alone have labels.
type doseTicks struct{}

// Ticks implements plot.Ticker.
func (doseTicks) Ticks(least, most float64) []plot.Tick {
	wide := most/least > 300
	var ticks []plot.Tick
	for e := int(math.Floor(math.Log10(least))); float64(e) <= math.Log10(most); e++ {
		for _, step := range []float64{1, 2, 5} {
			v := step * math.Pow10(e)
			if v < least || v > most {
				continue
			}
			tick := plot.Tick{Value: v}
			if step == 1 || !wide {
				tick.Label = fmt.Sprintf("%.3g", v)
			}
			ticks = append(ticks, tick)
		}
	}
	return ticks
}

// turningTicks labels an angle by what is left of it after whole turns.
type turningTicks struct{ turn float64 }

// Ticks implements plot.Ticker.
func (t turningTicks) Ticks(least, most float64) []plot.Tick {
	ticks := plot.DefaultTicks{}.Ticks(least, most)
	for i, tick := range ticks {
		if tick.Label != "" {
			ticks[i].Label = fmt.Sprintf("%.4g", math.Mod(math.Mod(tick.Value, t.turn)+t.turn, t.turn))
		}
	}
	return ticks
}
