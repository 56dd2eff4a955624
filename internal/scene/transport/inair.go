package transport

// InAir returns the shares of light along the normal that a layer between two
// surfaces to air reflects and transmits in all directions, mirrored and
// unscattered light included.
func (m *Medium) InAir(l Layer) (reflectance, transmittance float64) {
	l.check()
	n := len(m.cos)
	steps := m.doublings(l)
	l.ThicknessMM /= float64(uint64(1) << steps)
	s, d := m.begin(l), newDesk(n)
	for range steps {
		s.double(d)
	}

	// The lower surface joins the slab: V = (I - R r)⁻¹ T goes down onto it, and
	// R + T r V comes up.
	downs := matrix{n, append([]float64(nil), s.transmit.v...)}
	m.betweenSurfaceAnd(s.reflect).solve(downs.v, n)
	mirroredDowns := newMatrix(n)
	for i := range n {
		for j, v := range downs.row(i) {
			mirroredDowns.row(i)[j] = m.mirror[i] * v
		}
	}
	ups := newMatrix(n)
	ups.setTimes(s.transmit, mirroredDowns)
	for i, v := range s.reflect.v {
		ups.v[i] += v
	}

	entering := make([]float64, n)
	entering[m.normal] = (1 - m.mirror[m.normal]) / m.flux[m.normal]
	up := ups.times(entering)
	m.betweenSurfaceAnd(ups).solve(up, 1)
	for i, v := range up {
		entering[i] += m.mirror[i] * v
	}
	down := downs.times(entering)
	reflectance = m.mirror[m.normal]
	for i, f := range m.flux {
		reflectance += f * (1 - m.mirror[i]) * up[i]
		transmittance += f * (1 - m.mirror[i]) * down[i]
	}
	return reflectance, transmittance
}
