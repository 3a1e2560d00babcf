package prints

import "sort"

// corner is a place in the weakly simple ring that outer ring and holes make
// once bridges join them; id numbers the point in the order of the rings.
type corner struct {
	p          pt
	id         int
	prev, next int
}

type web struct {
	c     []corner
	start int
	n     int
}

// triangles cuts a region into triangles, corners numbered in the order of
// its rings, all turning against the clock and none without area. Holes are
// joined to the outer ring by bridges, then ears are cut off; a bridge or cut is
// a proper diagonal by exact tests, and a region always has one, so that none is
// ever guessed.
func triangles(r rings) ([][3]int, error) {
	w := &web{}
	first := make([]int, len(r))
	n := 0
	for k, ring := range r {
		first[k] = n
		n += len(ring)
	}
	add := func(k int) (at int) {
		at = len(w.c)
		for i, p := range r[k] {
			m := len(r[k])
			w.c = append(w.c, corner{p: p, id: first[k] + i, prev: at + (i+m-1)%m, next: at + (i+1)%m})
		}
		return at
	}
	w.start = add(0)
	w.n = len(r[0])
	open := make([]int, 0, len(r))
	for k := 1; k < len(r); k++ {
		open = append(open, k)
	}
	right := func(k int) int { // the rightmost point of ring k
		best := 0
		for i, p := range r[k] {
			if q := r[k][best]; p.x > q.x || p.x == q.x && p.y > q.y {
				best = i
			}
		}
		return best
	}
	sort.SliceStable(open, func(i, j int) bool {
		return r[open[i]][right(open[i])].x > r[open[j]][right(open[j])].x
	})
	for i, k := range open {
		m := r[k][right(k)]
		v, ok := w.bridge(m, r, open[i:])
		if !ok {
			return nil, bad("a hole cannot be joined to its plate")
		}
		at := add(k)
		w.join(v, at+right(k))
		w.n += len(r[k]) + 2
	}
	return w.ears()
}

// crosses says that the segment from a to b meets the side from c to d in
// more than a common end.
func crosses(a, b, c, d pt) bool {
	share := 0
	far1, far2 := b, d
	switch {
	case a == c:
		share, far1, far2 = 1, b, d
	case a == d:
		share, far1, far2 = 1, b, c
	case b == c:
		share, far1, far2 = 1, a, d
	case b == d:
		share, far1, far2 = 1, a, c
	}
	if share == 0 {
		return meet(a, b, c, d)
	}
	if far1 == far2 { // the same segment
		return true
	}
	at := a
	if b == c || b == d {
		at = b
		if a == c || a == d {
			at = a
		}
	}
	if side(at, far1, far2) != 0 {
		return false
	}
	// On one line: over each other when on the same side of the common end.
	return between(at, far1, far2) || between(at, far2, far1)
}

// faces says that the direction from corner v to p points into the region.
func (w *web) faces(v int, p pt) bool {
	c := &w.c[v]
	a, b := w.c[c.prev].p, w.c[c.next].p
	if side(a, c.p, b) > 0 { // convex
		return side(c.p, b, p) > 0 && side(a, c.p, p) > 0
	}
	return !(side(c.p, b, p) <= 0 && side(a, c.p, p) <= 0)
}

// clear says that nothing of the web stands between a and b.
func (w *web) clear(a, b pt) bool {
	i := w.start
	for range w.n {
		c := &w.c[i]
		if crosses(a, b, c.p, w.c[c.next].p) {
			return false
		}
		i = c.next
	}
	return true
}

// bridge finds the nearest corner that sees m.
func (w *web) bridge(m pt, r rings, open []int) (int, bool) {
	type candidate struct {
		at int
		d  int64
	}
	var list []candidate
	i := w.start
	for range w.n {
		p := w.c[i].p
		list = append(list, candidate{i, (p.x-m.x)*(p.x-m.x) + (p.y-m.y)*(p.y-m.y)})
		i = w.c[i].next
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].d < list[j].d })
	for _, c := range list {
		p := w.c[c.at].p
		if !w.faces(c.at, m) || !w.clear(p, m) {
			continue
		}
		free := true
		for _, k := range open {
			for j, a := range r[k] {
				if crosses(p, m, a, r[k][(j+1)%len(r[k])]) {
					free = false
				}
			}
		}
		if free {
			return c.at, true
		}
	}
	return 0, false
}

// join cuts a bridge from corner v of the web to corner m of a fresh ring.
func (w *web) join(v, m int) {
	v2, m2 := len(w.c), len(w.c)+1
	w.c = append(w.c, w.c[v], w.c[m])
	// v -> m -> around the ring -> m2 -> v2 -> what followed v
	nv, pm := w.c[v].next, w.c[m].prev
	w.c[v].next, w.c[m].prev = m, v
	w.c[m2].prev, w.c[m2].next = pm, v2
	w.c[pm].next = m2
	w.c[v2].prev, w.c[v2].next = m2, nv
	w.c[nv].prev = v2
}

func (w *web) ears() ([][3]int, error) {
	var out [][3]int
	i, missed := w.start, 0
	for w.n > 3 {
		c := &w.c[i]
		a, b := w.c[c.prev].p, w.c[c.next].p
		if side(a, c.p, b) > 0 && w.faces(c.prev, b) && w.faces(c.next, a) && w.clear(a, b) {
			out = append(out, [3]int{w.c[c.prev].id, c.id, w.c[c.next].id})
			w.c[c.prev].next, w.c[c.next].prev = c.next, c.prev
			w.n--
			w.start = c.prev
			i, missed = w.c[c.next].next, 0 // leave the fan: better triangles
			continue
		}
		if missed++; missed > w.n {
			return nil, bad("an outline touches itself")
		}
		i = c.next
	}
	c := &w.c[i]
	if side(w.c[c.prev].p, c.p, w.c[c.next].p) <= 0 {
		return nil, bad("an outline touches itself")
	}
	return append(out, [3]int{w.c[c.prev].id, c.id, w.c[c.next].id}), nil
}
