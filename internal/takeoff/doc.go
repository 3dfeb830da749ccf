// Package takeoff counts the material of a layout: every line with its net,
// waste and order quantity and the derivation a person can check.
//
// # Items
//
// The take-off names what it buys by rule, in lower case; spec.Items maps these
// names to the company's own. Lengths are in whole feet (8ft), else in decimal
// inches (92.625in), else in millimetres (2400mm).
//
//	post-4x4-8ft      each       a post: size, stock length
//	rail-2x4-16ft     each       a stick for rails and gate frames: size, stock length
//	kick-2x6-8ft      each       a stick for kick boards: size, stock length
//	board-1x6-6ft     each       a board: size, stock length
//	concrete-80lb     bag        concrete mix: weight of a bag
//	gravel            ft3        gravel under posts; a bag of it is a pack
//	nail-8d-ring      lb         ring-shank nails that hold boards
//	nail-16d          lb         common nails that hold rail ends and gate frames
//	rail-bracket-2sq  each       holds a rail to a post that is not of wood: the post's section
//	screw-self-drilling  each    a screw into such a post
//	nail-16d-stainless  lb       and so of every nail and screw that is not hot-dip galvanized: -stainless, -bright
//	cap-4x4           each       a post cap
//	gate-hinge        each       one hinge
//	gate-latch        each       a latch that works from both sides
//	gate-drop-rod     each       a drop rod with its ground sleeve
//	crew-hour         hour       an hour of the crew
//	rate-fence        hour/ft    crew-hours per foot of net fence; its "price" is the rate
//	rate-gate         hour/leaf  crew-hours per gate leaf; its "price" is the rate
//	labour-hour       hour       an hour of one of the crew, of labour by tasks
//	rate-holes        hour/each  hours of one person, and so on for every task: gate-leaves (hour/leaf), mobilisation (hour/job), tear-out and
//	                             layout (hour/ft), footings, driving, setting, rails and boards
//	                             (hour/each), trim (hour/each piece of it, of cap boards, kick boards and lattice),
//	                             hanging-FAMILY (hour/ft), haul-away (hour/ft3), stain (hour/ft2)
//	factor-digging-rocky  ratio  what makes tasks longer: digging, grade, access, season, by the job's own names
//	equipment-auger   day        equipment for the crew's days, by the spec's own names
//	capboard-2x6-8ft  each       a stick for cap boards; trim-1x4-8ft one for trim
//	lattice-12in-8ft  each       a lattice panel: height, length
//	stain             gal        stain
//	haul-volume       ft3        disposal of old fence by volume; haul-weight (lb) by weight
//
// Chain link, its fittings by what they go around (1.9od: a post or rail of that outside diameter):
//
//	fabric-6ft-2in-11ga-50ft  roll  fabric: height, mesh, gauge, length of a roll
//	slats-6ft-10ft            bag   privacy slats: fabric height, fence a bag fills
//	chain-rail-1.66od-21ft    each  a length of rail; rail-sleeve-1.66od joins two, rail-end-1.66od ends one
//	rail-clamp-1.9od          each  holds a mid or bottom rail to a post that it passes
//	tension-wire-7ga-1000ft   roll  tension wire: gauge, length of a roll
//	barbed-wire-1320ft        roll  barbed wire: length of a roll
//	tie-1.9od                 each  a tie of fabric to a post or a rail; hog-ring to a tension wire
//	tension-bar-6ft           each  runs through the last mesh at a terminal post: fabric height
//	tension-band-2.375od      each  holds a tension bar to its post
//	brace-band-2.375od        each  holds a rail end or a tension wire to its post
//	carriage-bolt             each  closes a band
//	loop-cap-1.9od-1.66od     each  a cap that the top rail passes through: post, rail
//	dome-cap-2.375od          each  a cap of another post
//	barb-arm-single-1.9od     each  an arm for barbed wire, single or double, in place of a cap
//
// Wire:
//
//	woven-wire-330ft          roll  woven wire, and likewise barbed-wire-1320ft, high-tensile-wire-4000ft
//	wire-stay-4ft             each  holds the wires of a bay apart: height
//	wire-strainer             each  tightens one wire of a pull
//	fence-staple              lb    staples into wood posts
//	tee-clip                  each  a clip of one wire to a T post
//	brace-post-5rd-8ft        each  the second post of a brace assembly: size, stock
//	brace-rail-4rd-8ft        each  lies between the two: size, length
//	brace-pin                 each  one of the two that hold it
//	brace-wire                ft    the loops that brace them
//
// Panels, split rail and horizontal boards, whose boards are items like upright ones:
//
//	panel-vinyl-70in-93in    each  a panel: material, height, width
//	bracket-panel            each  holds an end of a panel; screw-panel holds brackets or panels
//	post-5vinyl-corner-10ft  each  a post that takes rails into it: line, end, corner, tee, cross
//	split-rail-cedar-11ft    each  a rail: wood, length
//	screw-board              each  a self-drilling screw that holds a lying board to steel
//
// Gates, besides gate-hinge, gate-latch and gate-drop-rod, and the fence's own infill:
//
//	tube-1.66od-21ft         each  a stick of tube for frames of leaves: section, stock length
//	gate-corner-1.66od       each  joins the pipes of a mesh leaf's corner; gate-tee-1.66od an upright to a rail
//	gate-hinge-box           each  a hinge of a leaf that is framed in tube; gate-hinge-bolt-hook of a tube gate bought whole
//	gate-leaf-tube-12ft      each  a tube gate bought whole, for wire: width
//	gate-roller              each  one of two on each roller post; gate-catch and gate-end-stop of a sliding leaf
//
// # Conventions
//
// A rail piece spans one bay, or where the spec allows two and that is no dearer
// two: its joints are on the centres of line posts, staggered from course to
// course, and it is nailed at the post it passes as at its ends. It passes no
// post of another role, none between stepped bays and none where the grade turns,
// so there all courses are joined. On posts that are not of wood a bracket with
// screws holds every end of a rail, and a rail wherever it passes one.
//
// Boards in two rows, board on board and shadow box, go on by a board less its
// overlap; the first stands in the back row, and the last is ripped to where the
// face ends, by the rule for narrow rips, whichever row it is in. On a shadow box
// the rails hang between the posts, so that no leg covers another at a corner.
//
// What boards do after they are hung is reckoned for the spec's species, and for
// the boards of the widest face together.
//
// Boards of gate leaves and of the fence are one item, and so are the sticks of
// leaf frames and of rails, which are cut by one plan.
//
// Racked and level stretches are boarded over the whole face, stepped ones bay
// by bay, between post centres and at a wall to the wall. An old post that is
// kept is neither bought nor set; it takes a cap like the others.
//
// Where a gap over the ground is filled with longer boards, those of that bay
// are bought at the spec's stock if it reaches, else at the shortest whole foot
// that does. Kick boards run from post centre to post centre, in as many courses
// as the gap takes, are cut from the rails' stock lengths by a plan of their
// own, and are nailed at each end like a rail; they count among the rails.
//
// A gate leaf (common practice) has a flat frame of the rails' section: two
// stiles as long as from the outer edge of the bottom rail to the outer edge of
// the top rail, as many rails as the fence between the stiles, at the fence's
// heights, and one brace across the back of the rails from the bottom corner at
// the hinges to the top corner at the latch, as long as that diagonal. Rails
// and brace are nailed at each end like a rail of the fence. The leaf's boards
// start whole at the latch, so that a rip stands at the hinges.
//
// A leaf of tube (common practice) is as high as one of wood where boards stand
// upright, else as what fills it; steel has a diagonal, and a middle rail where
// it is over 5 ft high, mesh and what slides have uprights at most 5 ft apart.
// The tube is cut from sticks by a plan of its own, as the shop orders it, and a
// rail longer than any stick is welded up. A leaf that slides is filled over the
// opening, and its tail is open. Gates of wire fences are tube gates bought whole.
//
// Sticks are cut for the least cost, which is proven before waste and packs. Where
// there is waste or a pack, the plan is compared by what would be ordered with
// those of least cost from fewer of the stocks, and the cheapest order is bought;
// that is no proof that no other plan orders for less. Waste is rounded up for
// each stock length by itself, and sticks of another rule that are bought as the
// same item are not looked at.
//
// Every percentage is exact, and what is bought is rounded up once per job.
package takeoff
