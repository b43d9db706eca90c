"""What may be typed, and what counts where nothing is, is a promise to files that exist: it moves only on purpose, here as well."""

from __future__ import annotations

import csv
import importlib
import io

import pytest

from costsim.study.layout import USUAL_LONGEST_M
from costsim.units.fields import QuantityField, keys_of

PROMISED = list(
    csv.DictReader(
        io.StringIO("""\
module,table,field,least,most,default
case,Case,title,1,120,
case,Case,use,,8,
case,Case,option,1,12,
case,Option,name,1,80,
case,Option,today,,,False
case,Option,first_cost_money,0,,0
case,Option,rebate_money,0,,0
case,Option,maintenance_per_year,0,,0
case,Option,replacement_money,0,,0
case,Option,replacement_year,0,50,0
case,Option,incentive,,10,
case,Option,part,,20,
case,Option,salvage_money,0,,0
case,Option,rule,,,fixed
case,Place,weather,1,,
case,Place,design_outdoor_c,-65,25,
case,Place,calendar_year,1990,2100,2025
case,Place,altitude_m,-430,5500,
economics,Economics,discount_rate_share_per_year,-0.05,0.3,0.03
economics,Economics,study_period,1,50,20
economics,Economics,inflation_share_per_year,-0.02,0.3,0.02
economics,Economics,carbon_price,0,,
economics,Economics,carbon_price_rise_share_per_year,-0.2,0.3,0
economics,Economics,tax_liability_money,0,,
economics,Uncertainty,load_share,0,1,
economics,Uncertainty,setpoint_spread_k,0,5,1
economics,Uncertainty,winter_share,0,0.5,0.055
economics,Uncertainty,weather,,40,
economics,Uncertainty,curtailment_share,0,0.6,0.25
economics,Uncertainty,efficiency_share,0,0.3,0.04
economics,Uncertainty,price_correlation,0,0.95,0.3
economics,Uncertainty,scenarios,100,100000,500
economics,Uncertainty,seed,0,,1
financing,Incentive,name,,60,incentive
financing,Incentive,share,0,1,0
financing,Incentive,amount_money,0,,0
financing,Incentive,cap_money,0,,
financing,Incentive,year,0,10,0
financing,Incentive,refundable,,,True
financing,Incentive,after_others,,,False
financing,Incentive,expires,,,False
financing,Loan,amount_money,>0,,
financing,Loan,interest_share_per_year,0,0.5,
financing,Loan,years,1,40,
financing,Part,name,,60,part
financing,Part,cost_money,>0,,
financing,Part,life,1,100,
financing,Part,maintenance_per_year,0,,0
financing,Part,salvage,,,True
heat_loss,Infiltration,volume_m3,>0,1e+06,
heat_loss,Infiltration,changes_per_s,0,0.01,
heat_loss,Infiltration,recovery_share,0,0.98,0
heat_loss,Room,name,1,80,
heat_loss,Room,indoor_temperature_c,5,30,
heat_loss,Room,surface,1,,
heat_loss,Surface,name,1,80,
heat_loss,Surface,area_m2,>0,100000,
heat_loss,Surface,u_value_w_m2k,>0,10,
heat_loss,Surface,difference_share,0,1,1
house,House,floor_area_m2,>0,1e+06,
house,House,design_heat_loss_w,>0,1e+08,
house,House,heat_loss_per_area_w_m2,>0,1000,
house,House,heat_loss_rate_w_k,>0,1e+06,
house,House,heat_loss_rate_band_share,0,1,0.1
house,House,indoor_temperature_c,5,30,
house,House,balance_point_c,-20,30,
house,House,gains_w,0,,
house,House,emitter,,,radiant_floor
house,House,design_supply_temperature_c,22,90,
house,House,max_unmet_hours,0,8784,20
house,House,solar_aperture_m2,0,,0
house,House,zone,,20,
house,House,absence,,20,
house,House,other_electricity_j_year,0,,
layout,Layout,level,1,20,
layout,Layout,tube,,,1/2 in PEX
layout,Layout,longest_loop_m,>5,500,
layout,Layout,spacing_m,0.03,1,0.3048
layout,Layout,mains_tube,,,1 in PEX
layout,Layout,temperature_drop_k,>0,40,11.1111
layout,Layout,max_supply_c,25,90,
layout,Layout,max_loops_per_pump,1,16,2
layout,Layout,pump_speeds,1,,
layout,Layout,freeze_margin_k,0,40,5
layout,LayoutLevel,name,1,60,
layout,LayoutLevel,area_m2,>0,100000,
layout,LayoutLevel,distance_m,0,200,3.048
layout,LayoutLevel,mains_m,0,200,0
layout,LayoutLevel,rise_m,-50,100,0
layout,LayoutLevel,insulation_m2k_w,>0,20,
layout,LayoutLevel,spacing_m,0.03,1,
layout,LayoutLevel,covering_m2k_w,0,1,0
layout,LayoutLevel,loops,1,2000,
layout,LayoutLevel,thermostat,,60,
layout,LayoutLevel,room,,60,
layout,LayoutRoom,name,1,60,
layout,LayoutRoom,area_m2,>0,100000,
layout,LayoutRoom,heat_loss_w,>0,1e+07,
layout,LayoutRoom,distance_m,0,200,
layout,LayoutRoom,spacing_m,0.03,1,
layout,LayoutRoom,covering_m2k_w,0,1,
layout,LayoutRoom,zone,,,occupied
layout,LayoutRoom,thermostat,,60,
outdoor_uses,PoolOrTub,priority,,,after_house
outdoor_uses,PoolOrTub,name,,80,Pool
outdoor_uses,PoolOrTub,area_m2,>0,2000,
outdoor_uses,PoolOrTub,depth_m,0.3,5,1.4
outdoor_uses,PoolOrTub,water_temperature_c,10,42,27
outdoor_uses,PoolOrTub,cover_u_value_w_m2k,0.1,30,5
outdoor_uses,PoolOrTub,activity_share,0.3,2,0.74
outdoor_uses,PoolOrTub,shelter_share,0,1,0.3
outdoor_uses,PoolOrTub,indoor_air_c,5,40,
outdoor_uses,PoolOrTub,humidity_share,0.05,1,
outdoor_uses,PoolOrTub,fresh_water_m3,0,100,0
outdoor_uses,PoolOrTub,approach_k,0,25,5
outdoor_uses,Profile,name,,80,Further heat
outdoor_uses,Profile,hours,1,,
outdoor_uses,Profile,supply_temperature_c,15,90,45
outdoor_uses,Profile,return_temperature_c,1,85,35
outdoor_uses,SnowMelt,priority,,,after_house
outdoor_uses,SnowMelt,name,,80,Snow melting
outdoor_uses,SnowMelt,area_m2,>0,10000,
outdoor_uses,SnowMelt,snowfall_m,0,30,
outdoor_uses,SnowMelt,water_share,0.02,0.6,0.1
outdoor_uses,SnowMelt,free_share,0,1,1
outdoor_uses,SnowMelt,idle_below_c,-30,5,
outdoor_uses,SnowMelt,back_loss_share,0,2,0.2
outdoor_uses,SnowMelt,design_supply_temperature_c,20,70,43
plant,Floor,antifreeze,,,none
plant,Floor,concentration_share,0,0.6,0
plant,Floor,build_up,,,concrete_100
plant,Floor,insulation_m2k_w,>0,20,1.8
plant,Floor,loops,,400,
loop_group,Loops,name,,4000,
loop_group,Loops,count,1,10000,
loop_group,Loops,length_m,>0,500,
loop_group,Loops,tube,,,1/2 in PEX
loop_group,Loops,spacing_m,0.03,1,0.3
loop_group,Loops,covering_m2k_w,0,1,0
loop_group,Loops,flow_m3_s,>0,0.01,
loop_group,Loops,zone,,,occupied
loop_group,Loops,insulation_m2k_w,>0,20,
loop_group,Loops,leads_m,0,400,0
loop_group,Loops,loops_per_pump,1,16,
loop_group,Loops,pump_speed_share,0.2,1,
loop_group,Loops,lift_pa,0,,
loop_group,Loops,load_share,0,2,
plant,Mass,room_capacity_j_m2k,1000,1e+07,50000
plant,Mass,feedback,0,20,1
plant,Mass,ground_c,-20,30,
plant,Mass,precharge_k,0,10,0
plant,Mass,room_ceiling_k,0.5,15,3
plant,Pump,heads_pa,2,,
plant,Pump,flows,2,,
plant,Pump,speed_share,0.2,1,1
plant,Pump,efficiency_share,>0,0.9,0.2
plant,Pump,loops_per_pump,1,16,1
plant,Pump,electric_w,0,5000,
plant,Pump,lift_pa,0,,0
plant,Tank,volume_m3,>0,10000,
plant,Tank,circuit,,,sealed
plant,Tank,loss_w_k,0,,3
plant,Tank,max_temperature_c,25,95,60
plant,Tank,store_c,25,95,
plant,Tank,design_supply_temperature_c,22,90,
plant,Tank,cost_per_volume_money,0,,
plant,Tank,differential_k,0.5,40,5
plant,Tank,stratification_share,0,1,0
plant,Tank,kept_hot_share,0,1,0.333333
prices,Price,energy,0,,
prices,Price,fixed_per_month,0,,0
prices,Price,minimum_bill_per_month,0,,0
prices,Price,minimum_use,>0,,
prices,Price,minimum_use_price,0,,
prices,Price,minimum_use_fee_money,0,,0
prices,Price,rent_per_year,0,,0
prices,Price,energy_tax_share,-1,1,0
prices,Price,tax_share,0,1,0
prices,Price,ticket,,60,
prices,Price,charge,,40,
prices,Price,read_day,1,28,1
prices,Price,read_dates,,12,
prices,Price,holidays,,400,
prices,Price,heat_content,>0,,
prices,Price,co2_kg_per_j,0,,
prices,Price,service,,,usual
prices,PriceBlock,up_to,>0,,
prices,PriceBlock,energy,0,,
prices,PriceDelivery,fill,>0,,
prices,PriceDelivery,fee_money,0,,0
prices,PriceDelivery,minimum,>0,,
prices,PriceDelivery,small_fee_money,0,,0
prices,PriceDemand,price,0,,
prices,PriceDemand,minutes,,,60
prices,PriceDemand,peak_factor,1,3,1
prices,PriceDemand,ratchet_share,0,1,0
prices,PricePeriod,name,1,40,
prices,PricePeriod,energy,0,,
prices,Ticket,date,,10,
prices,Ticket,amount_j,>0,,
prices,Ticket,total_money,0,,
program,Program,name,1,80,
program,Program,backup,,,True
program,Program,backup_time_s,>0,,43200
program,Program,min_controlled_load_w,0,,0
program,Program,separate_meter,,,True
program,Program,grid_backup,,,False
ratings,Ratings,tube_pressure_pa,>0,5e+06,
ratings,Ratings,tube_temperature_c,20,300,
ratings,Ratings,tank_pressure_pa,>0,5e+06,
ratings,Ratings,tank_temperature_c,20,300,
ratings,Ratings,pump_pressure_pa,>0,5e+06,
ratings,Ratings,pump_temperature_c,20,300,
ratings,Ratings,vessel_pressure_pa,>0,5e+06,
ratings,Ratings,vessel_temperature_c,20,300,
ratings,Ratings,vessel_volume_m3,>0,100,
ratings,Ratings,relief_pressure_pa,>0,5e+06,
ratings,Ratings,relief_temperature_c,20,300,
ratings,Ratings,relief_discharge_w,>0,1e+09,
ratings,Ratings,fill_pressure_pa,>0,5e+06,
ratings,Ratings,height_m,0,100,
ratings,Ratings,tank_headspace_m3,>0,100,
ratings,Ratings,extra_water_volume_m3,0,,0
schedules,Absence,indoor_temperature_c,2,25,10
schedules,HouseZone,name,1,80,
schedules,HouseZone,area_m2,>0,,
schedules,HouseZone,load_share,>0,1,
schedules,HouseZone,indoor_temperature_c,5,30,
schedules,HouseZone,setback,,20,
schedules,HouseZone,loops,,60,
schedules,Setback,indoor_temperature_c,5,30,
schedules,Setback,windows,1,,
schedules,Setback,days,,,every day
selection,Selection,margin_share,0,1,0.15
selection,Selection,volts_v,>50,1000,240
selection,Selection,circuit_length_m,0,500,15.24
selection,Selection,voltage_drop_share,>0,0.1,0.03
selection,Selection,service_a,>0,4000,
selection,Selection,measured_peak_w,0,1e+06,
selection,Selection,appliances_w,0,1e+06,
selection,Selection,gas_pipe_length_m,>0,1000,15.24
selection,Selection,gas_pressure_drop_pa,>0,5000,124.544
selection,Selection,other_gas_input_w,0,1e+07,0
selection,Selection,run_length_m,>0,2000,
solar_electric,SolarElectric,peak_power_w,>0,100000,
solar_electric,SolarElectric,tilt_deg,0,90,30
solar_electric,SolarElectric,azimuth_deg,0,360,
solar_electric,SolarElectric,losses_share,0,0.9,0.14
solar_electric,SolarElectric,module,,,standard
solar_electric,SolarElectric,inverter_efficiency_share,>0.5,1,0.96
solar_electric,SolarElectric,dc_to_ac,0.5,3,1.2
solar_electric,SolarElectric,export,0,,
solar_electric,SolarElectric,net_metering,,,none
tank_use,TankUse,priority,,,before_house
uses,HotWater,name,,80,Hot water
uses,HotWater,people,1,500,
uses,HotWater,daily_volume_m3,>0,100,
uses,HotWater,tap_temperature_c,30,60,49
uses,HotWater,cold_temperature_c,0.5,30,
uses,HotWater,exchanger,,,instantaneous
uses,HotWater,approach_k,0,25,5
uses,HotWater,storage_temperature_c,45,75,60
uses,HotWater,circulation_w,0,100000,0
uses,HotWater,profile,,24,
uses,HotWater,load_profile,,,usual_day
uses,Zone,name,,80,Zone
uses,Zone,design_heat_loss_w,>0,1e+06,
uses,Zone,indoor_temperature_c,2,28,10
uses,Zone,design_supply_temperature_c,22,80,40
""")
    )
)


@pytest.mark.parametrize("module", sorted({row["module"] for row in PROMISED}))
def test_limits_and_defaults_are_those_promised(module: str) -> None:
    """Limits in SI, `>` where the limit itself is refused; of texts and lists their lengths."""
    for row in (one for one in PROMISED if one["module"] == module):
        model = getattr(importlib.import_module(f"costsim.study.{module}"), row["table"])
        field = model.model_fields[row["field"]]
        assert (field.alias or row["field"]) in keys_of(model)
        least, most = "", ""
        for item in field.metadata:
            if isinstance(item, QuantityField):
                least = f">{item.above:g}" if item.above is not None else _text(item.at_least)
                most = _text(item.at_most)
            least = _text(getattr(item, "ge", getattr(item, "min_length", None))) or least
            most = _text(getattr(item, "le", getattr(item, "max_length", None))) or most
        assert (least, most) == (row["least"], row["most"]), row
        if row["default"]:
            given = field.default
            assert (str(given) if isinstance(given, bool | str) else f"{given:.6g}") == row["default"], row
        if isinstance(field.default, int | float) and not isinstance(field.default, bool):
            assert not most or field.default <= float(most)
            assert not least or field.default >= float(least.lstrip(">"))


def _text(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def test_usual_longest_loops_of_the_trade() -> None:
    """200, 300, 400, 500 and 750 ft for 3/8, 1/2, 5/8, 3/4 and 1 in; 100 to 120 m for 16 to 20 mm: common practice, no source."""
    feet = {name: value / 0.3048 for name, value in USUAL_LONGEST_M.items() if "PEX" in name}
    assert feet == {
        "3/8 in PEX": pytest.approx(200), "1/2 in PEX": pytest.approx(300), "5/8 in PEX": pytest.approx(400),
        "3/4 in PEX": pytest.approx(500), "1 in PEX": pytest.approx(750),
    }  # fmt: skip
    assert {name: value for name, value in USUAL_LONGEST_M.items() if "PEX" not in name} == {
        "16x2": 100,
        "17x2": 100,
        "20x2": 120,
    }
