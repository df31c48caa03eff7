/** Short common words, easy to read out and to type. */
export const PASSPHRASE_WORDS: readonly string[] = `
acorn apple april arrow aspen autumn badge baker balcony bamboo banana barley basket beach beacon beaver bench
berry bicycle birch biscuit blanket blossom bonnet bottle boulder bracket branch bread breeze brick bridge
bright bronze brook brush bubble bucket butter button cabin cactus camel candle canoe canvas carbon carpet
carrot castle cedar celery cello chalk cherry chess chimney cinema circle clover cobalt coconut comet compass
copper coral cotton cradle crayon cricket crystal cuckoo curtain cushion daisy dancer denim desert diamond
dolphin domino dragon drawer dune eagle easel echo elbow elder ember emerald engine falcon feather fennel fern
ferry fiddle field finch flag flame flannel flute forest fossil fountain fox galaxy garden garlic gentle giant
ginger glacier globe goose granite grape gravel guitar hammer hammock harbour harvest hazel heather hedge
heron hillside holly honey horizon hornet igloo indigo island ivory ivy jacket jasmine jelly jigsaw jungle
juniper kayak kettle kiosk kitchen kite kiwi ladder lagoon lantern larch lavender lemon lentil library lilac
lime linen lobster lotus magnet mango maple marble market meadow melon mirror mitten monkey moss mountain
muffin mustard napkin nectar needle nest nickel nutmeg oak oasis ocean olive onion orange orbit orchard organ
otter oyster paddle panda paper parade parcel parrot pastel peach pebble pencil penguin pepper piano pigeon
pillow pine planet plaster plum pocket pond poppy potato prairie pumpkin puppet puzzle quartz quilt rabbit
radio raft rain ramp raven ribbon river robin rocket rose ruby saddle saffron sailor salmon sandal satin
saucer scarf shadow shell silver sketch sofa spade sparrow spinach sponge spruce stable star stone summer
sunset swan table tango teapot temple thimble thistle thunder tiger timber toffee tomato trumpet tulip tunnel
turtle umbrella valley vanilla velvet violet violin wagon walnut water wheat willow window winter wool yellow
yoghurt zebra
`
  .trim()
  .split(/\s+/);
