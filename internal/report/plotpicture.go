package report

import (
	"bytes"
	"image/color"
	"image/png"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"setshade/internal/spectrum"
	"setshade/internal/workshop"
)

// planeWide is the side of the a*b* plane when it stands alone.
const planeWide = 14 * vg.Centimeter

// pictureOf draws a plot by itself.
func pictureOf(p *plot.Plot, wide, high vg.Length, alt, caption string) (picture, error) {
	canvas := vgimg.NewWith(vgimg.UseWH(wide, high), vgimg.UseDPI(curvesDots), vgimg.UseBackgroundColor(color.White))
	p.Draw(draw.Crop(draw.New(canvas), panelGap, -panelGap, panelGap, -panelGap))
	var file bytes.Buffer
	err := png.Encode(&file, canvas.Image())
	return picture{file.Bytes(), cssPixels(wide), cssPixels(high), alt, caption}, err
}

// cssPixels is a length on a screen, at 96 to the inch.
func cssPixels(l vg.Length) int { return int(math.Round(l.Points() / 72 * 96)) }

// spectrumPlot draws what a dye takes out of the light, wavelength by wavelength.
func spectrumPlot(learned *workshop.LearnedDye) *plot.Plot {
	p := newPlot("What "+learned.Name+" takes out of the light", "wavelength, nm", "K/S at "+Dose(learned.ReferenceGPerKg))
	line := make(plotter.XYs, spectrum.Bands)
	for band := range line {
		line[band] = plotter.XY{X: spectrum.WavelengthNM(band), Y: learned.Absorption[band]}
	}
	p.Y.Min = 0
	p.Add(polyline(line))
	return p
}
