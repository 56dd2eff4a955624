package picture

// upright turns a picture stored in one of the eight orientations of CIPA
// DC-008 (4.6.4, tag Orientation) the right way up.
func (p *Picture) upright(orientation int) *Picture {
	if orientation == 1 {
		return p
	}
	w, h := p.W, p.H
	if orientation >= 5 {
		w, h = h, w
	}
	q := newPicture(w, h, p.Scale)
	q.Code = p.Code
	if p.Chroma != nil {
		q.Chroma = p.Chroma.upright(orientation, p.W*p.Scale, p.H*p.Scale)
	}
	for y := range h {
		for x := range w {
			sx, sy := stored(orientation, x, y, p.W, p.H)
			from, to := sy*p.W+sx, y*w+x
			for c := range q.Light {
				q.Light[c][to] = p.Light[c][from]
			}
			q.Clipped[to], q.Crushed[to] = p.Clipped[from], p.Crushed[from]
		}
	}
	return q
}

// stored returns where the pixel of the upright picture lies in the stored one
// of w by h pixels. The comments give the side of the scene that the stored
// row 0 and column 0 show.
func stored(orientation, x, y, w, h int) (sx, sy int) {
	switch orientation {
	case 2: // top, right
		return w - 1 - x, y
	case 3: // bottom, right
		return w - 1 - x, h - 1 - y
	case 4: // bottom, left
		return x, h - 1 - y
	case 5: // left, top
		return y, x
	case 6: // right, top
		return y, h - 1 - x
	case 7: // right, bottom
		return w - 1 - y, h - 1 - x
	case 8: // left, bottom
		return w - 1 - y, x
	}
	return x, y // top, left
}

// turned returns where a corner of a pixel of the stored picture of w by h pixels
// comes to lie in the upright one: the inverse of stored, between pixels.
func turned(orientation, x, y, w, h int) (ux, uy int) {
	switch orientation {
	case 2:
		return w - x, y
	case 3:
		return w - x, h - y
	case 4:
		return x, h - y
	case 5:
		return y, x
	case 6:
		return h - y, x
	case 7:
		return h - y, w - x
	case 8:
		return y, w - x
	}
	return x, y
}
