// Whether a description speaks of a tree. In: text such as OAK 24" or TOP WALL 18" WI; out: yes or no.
// Terms: tree word = a kind of tree, or a word for a tree; other word = a thing that may carry a tree's name beside it.
// Cost: linear in the text.

/** Common and botanical names in American, British, Australian and German usage (common practice, no source). */
const TREE_WORDS: ReadonlySet<string> = new Set(
  `tree tr trees dtree ctree etree decid deciduous conif conifer evergreen evgr hardwood palm baum laubbaum nadelbaum
  oak quercus liveoak maple acer fir abies douglasfir doug pseudotsuga pine pinus spruce picea cedar cedrus thuja hemlock tsuga
  redwood sequoia cypress cupressus juniper juniperus larch larix yew taxus ginkgo elm ulmus ash fraxinus beech fagus birch
  betula alder alnus willow salix poplar populus cottonwood aspen hickory carya pecan walnut juglans chestnut castanea
  buckeye aesculus horsechestnut sycamore planetree platanus plane linden basswood lime tilia locust robinia gleditsia
  honeylocust mulberry morus cherry prunus plum peach pear pyrus apple malus crabapple crab hawthorn crataegus holly ilex
  dogwood cornus redbud cercis magnolia tulip tuliptree liriodendron sweetgum liquidambar gum tupelo nyssa sassafras
  hackberry celtis hornbeam carpinus hophornbeam ostrya madrone arbutus laurel bay umbellularia catalpa paulownia rowan sorbus
  serviceberry amelanchier persimmon diospyros olive olea citrus orange lemon fig ficus eucalyptus eucalypt corymbia
  angophora jacaranda melaleuca paperbark bottlebrush callistemon casuarina sheoak banksia grevillea acacia wattle brushbox
  lophostemon syzygium lillypilly araucaria podocarpus camphor pepper schinus sumac rhus zelkova pistache pistacia crapemyrtle
  crape lagerstroemia cajeput mangrove mango avocado eiche ahorn tanne kiefer fichte lärche laerche eibe ulme esche buche birke
  erle weide pappel espe nuss walnuss kastanie rosskastanie platane linde robinie kirsche pflaume birne apfel apfelbaum weissdorn
  stechpalme hainbuche eberesche zeder lebensbaum mammutbaum`
    .trim()
    .split(/\s+/),
);

/** Words beside a tree word that make it something else. */
const OTHER_WORDS: ReadonlySet<string> = new Set(
  `wall post pole stake stump fence sign hub lath rod pipe nail street st road rd drive dr lane ln ave avenue ct court floor deck
  beam door step board log mulch line edge driveline dripline grate well box planter stumpf zaun pfahl schild`
    .trim()
    .split(/\s+/),
);

/** Whether a description names a kind of tree and nothing else. */
export function speaksOfTree(description: string): boolean {
  const words = description.toLowerCase().match(/\p{L}+/gu) ?? [];
  return words.some(isTreeWord) && !words.some((word) => OTHER_WORDS.has(word));
}

function isTreeWord(word: string): boolean {
  return TREE_WORDS.has(word) || (word.endsWith('s') && TREE_WORDS.has(word.slice(0, -1)));
}
