"""Write the ten held-out sheets and their truths: python heldout2.py OUTDIR"""
import os, sys
import country, homes, works

JOBS = [homes.housing_register, homes.tenant_replies, homes.taxi_drivers, homes.landlord, works.car_parks,
        works.school_trust, works.parcels, country.farm_estate, country.tablet, country.diocese]

if __name__ == "__main__":
    out = sys.argv[1]
    os.makedirs(out, exist_ok=True)
    for job in JOBS:
        sites, stated = job(out)
        print(f"{job.__name__:18} {sites:3} sites {stated:5} stated values")
