// Package photo turns a photograph of test drops on white card into colours.
//
// A camera records light, not colour: a drop under a lamp looks as the lamp
// makes it. What can be trusted is the comparison of a drop with the bare card
// beside it, in the same picture, under the same light. The whole package is
// that comparison, done with care:
//
//  1. decode: JPEG, PNG, TIFF and HEIC, limits checked before a pixel is
//     unpacked; the orientation and the colour profile are read from the file's
//     own segments
//  2. linear light: code values become amounts of light by the file's ICC profile
//     (matrix and curves; sRGB when there is none, and that is said), averaged in
//     boxes down to about a megapixel. Colours beyond sRGB are kept
//  3. card: a printed test card by its fiducials, three of the four in any turn
//     or tilt, and its code; else the bright, even region with its four sides
//  4. flatten: a smooth surface fitted to bare card says how bright card white
//     would be at each pixel; dividing by it leaves the reflectance relative
//     to the card, free of uneven and coloured light
//  5. correct: what a strip or a chart of known colours shows of the camera's
//     tone curve and of how it mixes colours is undone. How much is fitted is
//     chosen by patches held out
//  6. drops: what differs from card white in its chromaticity, or is much
//     darker. A shadow is the same chromaticity, only darker. Drops that touch
//     are parted
//  7. order: the numbered places of a printed card; else rows along the card's
//     own axes, left to right
//  8. colour: a drop is a dome, thin at its rim and shining where the lamp
//     mirrors in it. A small surface is fitted to its middle with highlights and
//     bits left out, and read at the centre; over white and over black if the
//     drop lies on both
//
// Spot reads one place of any photograph by steps 1 to 5, and says when there was
// nothing in it to correct by.
//
// What was read where is drawn by Reading.Overlay; Reading.FlatField and
// Reading.Residuals show the light. A picture that cannot be trusted is refused
// with a Refusal: one sentence on what is wrong and one on what to do; the partial
// Reading returned beside it still draws an overlay when the picture could be
// decoded. Reading.Quality and Reading.Correction say how good it is.
//
// Limits: without a strip or chart of known colours the camera is taken at its
// word for all but white. A JPEG below quality 85 rounds the colour of a whole
// drop alike. A drop on a plain card whose chromaticity is the card's to within
// the noise, and which is not much darker, is not told from a shadow. Lens
// distortion is not undone.
package photo
