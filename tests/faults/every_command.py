"""A line of each command that works, in an order in which each finds what it needs."""

DOES = """
new --name Forked
product add Thinner --role reducer --size 120ml --flash-point none
product add Blue --role paint --price 60ml=7.90 --flash-point none --usual-reducer Thinner
product add Cleaner --role cleaner --flash-point none
product add Cleaner2 --role cleaner
product change Blue --note deep
studio change --name Renamed
place add Cabinet
place change Cabinet --premises workshop
supplier change Harbour --lead-time 7d
substance add Pearlene --flash-point 31C --cas 999-99-5
substance change Pearlene --h H226
substance add Opaline --flash-point 31C
substance delete Opaline
training add Ana --on 2026-01-02
training add Rui --on 2026-01-02
training drop Rui
receive Blue 60ml --count 6 --lot L1
receive Thinner 120ml
receive Cleaner 250ml
mix Blue=8ml --reduce 20%
step 4 5%
close 4 --outcome good --left 1ml --keep
wash Cleaner=2ml
bottle open 2
bottle move 3 Cabinet
bottle count 2 41ml
bottle discard 3
bottle decant 1 5ml
bottle freeze 4
bottle tested 5 --until 2w --note 'covers well'
bottle change 1 --container glass --best-before 2031-01-01
sheet add Blue --title TDS --revised 2026-01-02 --dosing 'with=Thinner low=10 high=20 step=5'
sheet correct Blue --title TDS --revised 2026-01-02 --dosing 'with=Thinner low=10 high=25 step=5'
sheet add Blue --title TDS --revised 2026-02-02 --dosing 'with=Thinner low=10 high=30 step=5'
recipe add Sea Blue=1 Thinner=1
order make 'Blue=2x60ml' --supplier Harbour
order receive 14
order make 'Blue=1x60ml' --supplier Harbour
order cancel 16
plan-use Blue 5ml --on 2027-01-02
caution-rule silence age-unknown --reason known
caution-rule restore age-unknown --reason back
caution-rule silence frost --reason insulated --place Cabinet --until 2w
caution-rule silence curdles --reason tried --product Blue --other Thinner --until 2w
caution-rule sets ghs
job add Hull
job change Hull --note red
job close Hull
import stock.csv
undo wash 7
copy copy.ullage
backup kept.ullage
restore kept.ullage --yes
export out
labels labels.svg
line add Quay --role paint
line change Quay --water 50
line fill Quay stock.csv
line rename Quay Wharf
invoice add R-1 --supplier Harbour --dated 2026-01-02 --net 10
invoice tie 1 --delivery 1
invoice remove 1
period close 2020-01
period reopen --reason early
config set theme daylight
config forget theme
job add Bow
job queue Bow Sea=5ml
spill 1 1ml
product weigh Blue 10ml --weight 10.5g
product delete Cleaner2
""".strip().splitlines()
READS = """
studio show
training list
substance show Pearlene
substance list
product list
product show Blue
place list
shelf
reduce 30ml 20%
viscosity ford-4 30
advise Blue
sheet list Blue
sheet compare Blue
sheet read stock.csv
sheet read stock.csv stock.csv
recipe list
recipe show Sea
coverage 1m2 --film 50um --solids 40%
forecast
order list
cautions
classify --flash-point 18C
caution-rule list
today
logbook
check
job show Hull
job list
cost
emissions
emissions --year
trace --lot L1
restore
labels -
line list
line show Wharf
invoice list
period list
config show
help
completion bash
job sheet Hull
purchases
valuation
supplier list
""".strip().splitlines()
