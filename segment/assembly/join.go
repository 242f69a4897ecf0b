package assembly

import (
	"cmp"
	"math"
	"slices"
)

// leastBorder is the border that two faces of one piece share at least, in votes
// as a share of the root of the smaller one's points: a square's side has 2.2.
// Where pieces only cross, a few points of one lie next to the other.
const leastBorder = 1.2

// contraryBorder is the border where other votes are against it, and more: two
// thirds of a square's side.
const contraryBorder = 1.5

// outMost is how many times more votes must be for an outside corner than
// against it.
const outMost = 4

// join unites regions that meet at outside corners: the same piece of metal.
//
// Large regions are tied where their border says so, the surest first, and what
// is tied to them already does not meet at inside corners all over: an edge of
// one plate may run on smoothly into that of the plate it lies on. Then those of one
// surface, same, which may be one by chance: what is tied to them has its say. Small ones, that may be
// beads or spatter, first gather to strips (the teeth of a rim, the rounded lip
// of a tube); a strip that meets two large regions at outside corners on either
// side ties them, if all such strips together are as long as a border has to be.
func join(list []region, same [][2]int32, votes map[[2]int32]vote) []int32 {
	j := &joining{list: list, votes: votes, parent: make([]int32, len(list)), points: make([]int, len(list))}
	for i := range list {
		j.parent[i], j.points[i] = int32(i), list[i].points
		j.minor = append(j.minor, list[i].points < minorPoints && !list[i].flat || list[i].points < minorFlat)
	}
	for k := range votes {
		j.keys = append(j.keys, k)
	}
	slices.SortFunc(j.keys, func(a, b [2]int32) int {
		return cmp.Or(cmp.Compare(votes[b].out, votes[a].out), slices.Compare(a[:], b[:]))
	})
	for _, k := range j.keys {
		if !j.minor[k[0]] && !j.minor[k[1]] && j.wide(votes[k], j.list[k[0]].points, j.list[k[1]].points) && j.holds(k[0], k[1]) {
			j.tie(k[0], k[1])
		}
	}
	for _, s := range same {
		if sum := j.sum(s[0], s[1]); !sum.against() {
			j.tie(s[0], s[1])
		}
	}
	j.strips()
	for range 3 {
		if !j.bridge() {
			break
		}
	}
	j.follow()
	out := make([]int32, len(list))
	for i := range out {
		out[i] = j.root(int32(i))
	}
	return out
}

type joining struct {
	list   []region
	votes  map[[2]int32]vote
	keys   [][2]int32 // of votes, most first
	parent []int32
	points []int // of roots: of all that is tied to them
	minor  []bool
}

func (j *joining) root(a int32) int32 {
	for j.parent[a] != a {
		j.parent[a] = j.parent[j.parent[a]]
		a = j.parent[a]
	}
	return a
}

func (j *joining) tie(a, b int32) {
	a, b = j.root(a), j.root(b)
	if a == b {
		return
	}
	a, b = min(a, b), max(a, b)
	j.parent[b] = a
	j.points[a] += j.points[b]
	j.minor[a] = j.minor[a] && j.minor[b]
}

// clear tells that votes are for an outside corner.
func (v vote) clear() bool { return v.out >= 4 && v.out > outMost*v.in }

// wide tells that they are, and many enough for faces of so many points.
func (j *joining) wide(v vote, a, b int) bool {
	return v.clear() && float64(v.out) >= leastBorder*math.Sqrt(float64(min(a, b)))
}

// against tells that votes are clearly for inside corners.
func (v vote) against() bool { return v.in > outMost*v.out }

// holds tells that all that is tied to a and to b may be one piece: their votes
// together are not against it, nor most of them and the rest fewer than a border of
// the smaller has: a sliver may lie on two pieces that run into each other smoothly.
func (j *joining) holds(a, b int32) bool {
	sum := j.sum(a, b)
	least := min(j.points[j.root(a)], j.points[j.root(b)])
	return !sum.against() && (sum.in <= sum.out || float64(sum.out) >= contraryBorder*math.Sqrt(float64(least)))
}

// sum is that of the votes between all that is tied to a and to b.
func (j *joining) sum(a, b int32) vote {
	a, b = j.root(a), j.root(b)
	var sum vote
	for _, k := range j.keys {
		if x, y := j.root(k[0]), j.root(k[1]); x == a && y == b || x == b && y == a {
			sum.out += j.votes[k].out
			sum.in += j.votes[k].in
		}
	}
	return sum
}

// strips ties small regions to each other.
func (j *joining) strips() {
	for _, k := range j.keys {
		if j.minor[j.root(k[0])] && j.minor[j.root(k[1])] && j.wide(j.votes[k], j.list[k[0]].points, j.list[k[1]].points) {
			j.tie(k[0], k[1])
		}
	}
}

// between sums votes over what is tied.
func (j *joining) between() (votes map[[2]int32]vote, keys [][2]int32) {
	votes = map[[2]int32]vote{}
	for _, k := range j.keys {
		a, b := j.root(k[0]), j.root(k[1])
		if a == b {
			continue
		}
		key := [2]int32{min(a, b), max(a, b)}
		v, ok := votes[key]
		if !ok {
			keys = append(keys, key)
		}
		v.out += j.votes[k].out
		v.in += j.votes[k].in
		votes[key] = v
	}
	slices.SortFunc(keys, func(a, b [2]int32) int { return slices.Compare(a[:], b[:]) })
	return votes, keys
}

// bridge ties large regions that strips lead over to each other, unless what is tied
// to them already meets at inside corners; false where there are none.
func (j *joining) bridge() bool {
	votes, keys := j.between()
	meets := make([][]int32, len(j.list)) // strip: what it meets at outside corners
	for _, k := range keys {
		if !votes[k].clear() {
			continue
		}
		for s := range 2 {
			if j.minor[k[s]] && !j.minor[k[1-s]] {
				meets[k[s]] = append(meets[k[s]], k[1-s])
			}
		}
	}
	over := map[[2]int32]int{}
	var pairs [][2]int32
	at := func(a, b int32) vote { return votes[[2]int32{min(a, b), max(a, b)}] }
	for s, list := range meets {
		for i, a := range list {
			for _, b := range list[:i] {
				key := [2]int32{min(a, b), max(a, b)}
				if _, ok := over[key]; !ok {
					pairs = append(pairs, key)
				}
				over[key] += min(at(int32(s), a).out, at(int32(s), b).out)
			}
		}
	}
	slices.SortFunc(pairs, func(a, b [2]int32) int {
		return cmp.Or(cmp.Compare(over[b], over[a]), slices.Compare(a[:], b[:]))
	})
	tied := false
	for _, k := range pairs {
		v := vote{out: over[k] + votes[k].out, in: votes[k].in}
		if j.root(k[0]) != j.root(k[1]) && j.wide(v, j.points[k[0]], j.points[k[1]]) && !j.sum(k[0], k[1]).against() {
			j.tie(k[0], k[1])
			tied = true
		}
	}
	return tied
}

// follow lets small regions join what they meet best.
func (j *joining) follow() {
	tied := make([]bool, len(j.list))
	for range 4 { // minors of minors follow
		votes, keys := j.between()
		slices.SortFunc(keys, func(a, b [2]int32) int {
			return cmp.Or(cmp.Compare(votes[b].out, votes[a].out), slices.Compare(a[:], b[:]))
		})
		for _, k := range keys {
			v := votes[k]
			if v.out < 4 || v.out <= 2*v.in {
				continue
			}
			for s := range 2 {
				a, b := k[s], k[1-s]
				if j.parent[a] == a && j.minor[a] && !tied[a] && (!j.minor[b] || tied[b]) {
					tied[a] = true
					j.tie(a, b)
				}
			}
		}
	}
}
